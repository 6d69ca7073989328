import type { ItemSign } from './item_sign.ts';

/** A sign drawn about (0, 0) in SVG, about 20 px across; shape carries the meaning. */
export function SignShape({ sign, length = 16 }: { sign: ItemSign /** of a slide's arrow, px */; length?: number }) {
  switch (sign.kind) {
    case 'in-place':
      return <circle className="sign sign-dot" r={5} />;
    case 'slide': {
      const end = Math.sign(sign.mm) * Math.max(length, 9);
      const back = end - Math.sign(sign.mm) * 6;
      return <path className="sign sign-line sign-warn" d={`M0 -7V7M0 0H${end}M${back} -5L${end} 0L${back} 5`} />;
    }
    case 'turn': {
      const side = Math.sign(sign.degrees);
      return (
        <path
          className="sign sign-line sign-warn"
          d={`M${-7 * side} 4A8 8 0 1 ${side > 0 ? 1 : 0} ${7 * side} 4M${1.5 * side} 2.5L${7 * side} 4L${9.5 * side} -1.5`}
        />
      );
    }
    case 'with-piece':
      return <path className="sign sign-line sign-warn" d="M-6 2A7 7 0 1 1 6 2M1 1L6 2L8 -3M-9 7H-1M1 7H9M0 4V10" />;
    case 'unsure':
      return <path className="sign sign-line" d="M-2 -6.7A7 7 0 1 0 2 -6.7M0 -2.5V1M0 3.5V4.5" />;
    case 'different':
      return <path className="sign sign-line sign-warn" d="M-8 -4H7M3 -8L7 -4L3 0M8 4H-7M-3 0L-7 4L-3 8" />;
    case 'extra':
      return <path className="sign sign-line sign-warn" d="M-6 -6L6 6M6 -6L-6 6" />;
    case 'wrong-way':
      return <path className="sign sign-line sign-warn" d="M-7 6H3A5.5 5.5 0 0 0 3 -5H-7M-2 -10L-7 -5L-2 0" />;
    case 'not-made-out':
    case 'not-seen':
      return <circle className="sign sign-line sign-dotted" r={8} />;
    case 'missing':
      return <circle className="sign sign-line sign-dotted sign-warn" r={8} />;
  }
}

/** A sign on its own, among text that says the same. */
export function SignIcon({ sign }: { sign: ItemSign }) {
  return (
    <svg className="sign-icon" viewBox="-12 -12 24 24" width="24" height="24" aria-hidden="true">
      <g transform={sign.kind === 'slide' ? `translate(${sign.mm > 0 ? -9 : 9} 0)` : undefined}>
        <SignShape sign={sign} length={18} />
      </g>
    </svg>
  );
}
