import { photoWords } from '../../words/photo_words.ts';
import { Drawing } from './drawing.tsx';

const phone = (x: number, y: number, turn: number) => (
  <g transform={`translate(${x} ${y}) rotate(${turn})`}>
    <rect className="drawing-paper" x="-13" y="-4" width="26" height="7" rx="2" />
    <path className="drawing-ink" d="M-3 3h6v2h-6z" />
  </g>
);

/**
 * Phones over the rod one after the other, each seeing half of what the last one saw; from the end, one to the side.
 */
export function WalkDrawing() {
  return (
    <Drawing label={photoWords.walkDrawing} width={320} height={120}>
      <path className="drawing-strong" d="M8 106H212" />
      <path className="drawing-ink" d="M14 101L206 98v4L14 103z" />
      {[50, 90, 130, 170].map((x) => (
        <g key={x}>
          <path className="drawing-faint" d={`M${x} 30L${x - 40} 104M${x} 30L${x + 40} 104`} />
          {phone(x, 24, 0)}
        </g>
      ))}
      <path className="drawing-strong" d="M236 106H314" />
      <circle className="drawing-ink" cx="272" cy="101" r="3.5" />
      <circle cx="272" cy="88" r="8" />
      <path className="drawing-faint" d="M272 30V80M302 40L276 82" />
      {phone(272, 24, 0)}
      {phone(306, 34, 25)}
    </Drawing>
  );
}
