import type { ReactNode } from 'react';
import { Drawing } from './drawing.tsx';

const blank = <path className="drawing-paper" d="M8 33L232 28v12L8 36z" />;
const places = [44, 84, 134, 192] as const;

/** A blank with nothing on it. */
export const BlankDrawing = () => <Drawing height={60}>{blank}</Drawing>;

/** A blank with its marks. */
export function MarksDrawing() {
  return (
    <Drawing height={60}>
      {blank}
      {places.map((x) => (
        <path key={x} className="drawing-strong" d={`M${x} 29v11`} strokeWidth="4" />
      ))}
    </Drawing>
  );
}

/** A blank with its guides taped on. */
export const GuidesDrawing = () => (
  <GuidesHeldBy
    hold={(x, i) => <rect className="drawing-tape" x={x + 6} y={27 - i * 0.4} width={14} height={10 + i} />}
  />
);

/** A blank with its guides under thread. */
export const WrappedDrawing = () => (
  <GuidesHeldBy
    hold={(x, i) =>
      [0, 1, 2, 3, 4, 5, 6].map((turn) => (
        <path key={turn} d={`M${x + 6 + 2.2 * turn} ${27 - i * 0.4}v${10 + i}`} strokeWidth="1.4" />
      ))
    }
  />
);

function GuidesHeldBy({ hold }: { hold: (x: number, index: number) => ReactNode }) {
  return (
    <Drawing height={60}>
      {blank}
      {places.map((x, i) => (
        <g key={x}>
          <path d={`M${x} ${26 - i}L${x + 12 + i} ${30 - i * 0.2}`} />
          <ellipse className="drawing-strong" cx={x} cy={22 - 2 * i} rx={2 + i * 0.6} ry={4 + 2 * i} />
          {hold(x, i)}
        </g>
      ))}
    </Drawing>
  );
}
