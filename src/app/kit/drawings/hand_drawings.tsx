import type { MarkedBy } from '../../../plan/plan.ts';
import { handWords } from '../../words/hand_words.ts';
import { Drawing } from './drawing.tsx';

const Cross = ({ x, y }: { x: number; y: number }) => (
  <path className="drawing-strong" d={`M${x - 6} ${y}H${x + 6}M${x} ${y - 6}V${y + 6}`} />
);

/** A ring over the blank with points round its outer edge. */
export function RingPointsDrawing() {
  const points = [-90, -18, 54, 126, 198].map((degrees) => (degrees * Math.PI) / 180);
  return (
    <Drawing label={handWords.drawing.ring} width={120} height={80}>
      <path className="drawing-paper" d="M4 70L116 66v9L4 76z" />
      <path d="M60 60L84 68M60 60L44 69" />
      <ellipse className="drawing-paper" cx="60" cy="34" rx="24" ry="27" />
      <ellipse cx="60" cy="34" rx="18" ry="20.5" />
      {points.map((angle) => (
        <Cross key={angle} x={60 + 24 * Math.cos(angle)} y={34 + 27 * Math.sin(angle)} />
      ))}
    </Drawing>
  );
}

/** A mark across the blank with a point where its place is read; the tip is at the left. */
export function MarkPointDrawing({ readAt }: { readAt: MarkedBy }) {
  const x = { centre: 60, 'tip-edge': 48, 'butt-edge': 72 }[readAt];
  return (
    <Drawing label={handWords.drawing[readAt]} width={120} height={60}>
      <path className="drawing-paper" d="M4 24L116 18v24L4 36z" />
      <rect className="drawing-tape" x="48" y="20" width="24" height="20" />
      <path className="drawing-dashed" d="M4 30H116" />
      <Cross x={x} y={30} />
    </Drawing>
  );
}
