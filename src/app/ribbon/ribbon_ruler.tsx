import { type LengthDisplay, lengthDigits } from '../../plan/lengths/length_text.ts';
import { type RibbonView } from './ribbon_view.ts';
import { rulerTicks } from '../kit/ruler_ticks.ts';

/** The ruler along the rod, in the builder's unit. */
export function RibbonRuler({
  view,
  from,
  to,
  x,
  top,
  width,
  display,
}: {
  view: RibbonView;
  /** the rod's ends, mm */
  from: number;
  to: number;
  x: (mm: number) => number;
  top: number;
  width: number;
  display: LengthDisplay;
}) {
  const ticks = rulerTicks(view, width, display).filter((tick) => tick.at >= from - 1e-6 && tick.at <= to + 1e-6);
  return (
    <g className="ruler">
      <path d={`M${x(from)} ${top}H${x(to)}`} />
      {ticks.map((tick) => (
        <g key={tick.at}>
          <path d={`M${x(tick.at)} ${top}v${tick.long ? 10 : 5}`} />
          {tick.long && (
            <text x={x(tick.at)} y={top + 26}>
              {lengthDigits(tick.at, display, { mmDecimals: 0, inchDecimals: 1 })}
            </text>
          )}
        </g>
      ))}
    </g>
  );
}
