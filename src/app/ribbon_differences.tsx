import type { KeptCheck } from '../store/build.ts';
import { signsOf } from './item_sign.ts';
import { SignShape } from './sign_shape.tsx';

/** px a millimetre of difference gets at least, so that a tolerance of 1.5 mm can be seen. */
const leastDifference = 6;
const longestArrow = 44;

/** Below the rod: what was found at each planned place, with differences drawn larger than they are. */
export function RibbonDifferences({
  check,
  x,
  top,
  pixelsPerMm,
}: {
  check: KeptCheck;
  x: (mm: number) => number;
  top: number;
  pixelsPerMm: number;
}) {
  const perMm = Math.max(pixelsPerMm, leastDifference);
  return (
    <g>
      {check.report.items.map((item) => {
        const [sign] = signsOf(item);
        if (!sign) return null;
        const offset = item.along ? (item.along.value - item.planned) * perMm : 0;
        const drawn = Math.min(Math.max(offset, -longestArrow), longestArrow);
        const at = x(item.planned) + (sign.kind === 'slide' ? drawn : 0);
        return (
          <g key={item.id} transform={`translate(${at} ${top})`}>
            <SignShape sign={sign} length={Math.abs(drawn)} />
          </g>
        );
      })}
      {check.report.extras.map((extra) => (
        <g key={extra.along.value} transform={`translate(${x(extra.along.value)} ${top})`}>
          <SignShape sign={{ kind: 'extra' }} />
        </g>
      ))}
    </g>
  );
}
