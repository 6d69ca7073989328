import { formatLength, type LengthDisplay, lengthDigits } from '../../plan/lengths/length_text.ts';
import type { Plan } from '../../plan/plan.ts';
import { labelRows } from '../kit/label_rows.ts';
import { rulerTicks } from '../kit/ruler_ticks.ts';
import type { Block, PlaceShape, RodShapes, SidePoint } from './plan_rod_shapes.ts';

/** How the drawing lies on the page, px. */
export interface RodScale {
  x: (at: number) => number;
  /** the axis's height */
  axis: number;
  perMm: number;
  width: number;
  height: number;
}

const rulerAt = 26;

/** The drawing itself: blank, what sits on it, thread, feet and rings, names above and a ruler below. */
export function PlanRodPicture({
  shapes,
  plan,
  lengths,
  scale,
}: {
  shapes: RodShapes;
  plan: Plan;
  lengths: LengthDisplay;
  scale: RodScale;
}) {
  const { x, axis, perMm, width, height } = scale;
  const point = ([along, up]: SidePoint) => `${x(along).toFixed(2)} ${(axis - up * perMm).toFixed(2)}`;
  const line = (points: readonly SidePoint[]) => `M${points.map(point).join('L')}`;
  const block = ({ from, to, up, down }: Block, name: string) => (
    <rect
      key={`${name} ${from}`}
      className={name}
      x={x(from)}
      y={axis - Math.max(up * perMm, 0.75)}
      width={Math.max((to - from) * perMm, 1)}
      height={Math.max((up + down) * perMm, 1.5)}
    />
  );
  const place = ({ id, wraps, feet, wires, ring, meant }: PlaceShape) => (
    <g key={id}>
      {feet.map((foot) => block(foot, 'rod-foot'))}
      {wires.map((wire, i) => (
        <path key={i} className={meant ? 'rod-wire rod-meant' : 'rod-wire'} d={line(wire)} />
      ))}
      {wraps.map((wrap) => block(wrap, 'rod-wrap'))}
      {ring && <path className="rod-ring" d={line(ring.ends)} strokeWidth={Math.max(ring.thickness * perMm, 1.5)} />}
    </g>
  );
  const labels = plan.positions.map(({ id, at }) => ({
    id,
    at,
    x: x(at),
    // as wide as its longer line
    width: 8 * Math.max(id.length + 1, lengthDigits(at, lengths).length),
  }));
  const order = labels.toSorted((a, b) => a.x - b.x);
  const rows = labelRows(order, 1);
  const view = { from: shapes.from - x(shapes.from) / perMm, to: 0 };
  view.to = view.from + width / perMm;
  return (
    <svg className="rod-drawing" width={width} height={height} aria-hidden="true">
      <path className={`rod rod-${plan.blank.finish}`} d={`${line(shapes.blank)}Z`} />
      {shapes.fittings.map((fitting) => block(fitting, `rod-fitting rod-${fitting.kind}`))}
      {shapes.tipTop && place(shapes.tipTop)}
      {shapes.places.map(place)}
      {order.map(
        (label, i) =>
          rows[i] === 0 && (
            <g key={label.id} className="rod-label">
              <text x={label.x} y={16}>
                {label.id}
              </text>
              <text x={label.x} y={34} className="rod-at">
                {formatLength(label.at, lengths).replace(/ (mm|in)$/, '')}
              </text>
            </g>
          ),
      )}
      <g className="ruler">
        <path d={`M${x(shapes.from)} ${height - rulerAt}H${x(shapes.to)}`} />
        {rulerTicks(view, width, lengths)
          .filter(({ at }) => at >= shapes.from - 1e-6 && at <= shapes.to + 1e-6)
          .map((tick) => (
            <g key={tick.at}>
              <path d={`M${x(tick.at)} ${height - rulerAt}v${tick.long ? 8 : 4}`} />
              {tick.long && (
                <text x={x(tick.at)} y={height - 4}>
                  {lengthDigits(tick.at, lengths, { mmDecimals: 0, inchDecimals: 1 })}
                </text>
              )}
            </g>
          ))}
      </g>
    </svg>
  );
}
