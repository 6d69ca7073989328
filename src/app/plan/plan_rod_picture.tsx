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
  return (
    <svg className="rod-drawing" width={scale.width} height={scale.height} aria-hidden="true">
      <path className={`rod rod-${plan.blank.finish}`} d={`${outline(shapes.blank, scale)}Z`} />
      {shapes.fittings.map((fitting) => (
        <BlockShape
          key={`${fitting.kind} ${fitting.from}`}
          block={fitting}
          name={`rod-fitting rod-${fitting.kind}`}
          scale={scale}
        />
      ))}
      {shapes.tipTop && <PlaceDrawn shape={shapes.tipTop} scale={scale} />}
      {shapes.places.map((shape) => (
        <PlaceDrawn key={shape.id} shape={shape} scale={scale} />
      ))}
      <PlaceNames plan={plan} lengths={lengths} x={scale.x} />
      <RodRuler from={shapes.from} to={shapes.to} lengths={lengths} scale={scale} />
    </svg>
  );
}

const outline = (points: readonly SidePoint[], { x, axis, perMm }: RodScale): string =>
  `M${points.map(([along, up]) => `${x(along).toFixed(2)} ${(axis - up * perMm).toFixed(2)}`).join('L')}`;

/** What lies round the blank from one place to another. */
function BlockShape({ block, name, scale }: { block: Block; name: string; scale: RodScale }) {
  const { x, axis, perMm } = scale;
  const { from, to, up, down } = block;
  return (
    <rect
      className={name}
      x={x(from)}
      y={axis - Math.max(up * perMm, 0.75)}
      width={Math.max((to - from) * perMm, 1)}
      height={Math.max((up + down) * perMm, 1.5)}
    />
  );
}

/** A guide or the tip-top from the side: feet, wires, thread over the feet, ring. */
function PlaceDrawn({ shape, scale }: { shape: PlaceShape; scale: RodScale }) {
  const { wraps, feet, wires, ring, meant } = shape;
  return (
    <g>
      {feet.map((foot) => (
        <BlockShape key={foot.from} block={foot} name="rod-foot" scale={scale} />
      ))}
      {wires.map((wire, i) => (
        <path key={i} className={meant ? 'rod-wire rod-meant' : 'rod-wire'} d={outline(wire, scale)} />
      ))}
      {wraps.map((wrap) => (
        <BlockShape key={wrap.from} block={wrap} name="rod-wrap" scale={scale} />
      ))}
      {ring && (
        <path
          className="rod-ring"
          d={outline(ring.ends, scale)}
          strokeWidth={Math.max(ring.thickness * scale.perMm, 1.5)}
        />
      )}
    </g>
  );
}

/** Each place's name and distance, where there is room for it. */
function PlaceNames({ plan, lengths, x }: { plan: Plan; lengths: LengthDisplay; x: RodScale['x'] }) {
  const labels = plan.positions.map(({ id, at }) => ({
    id,
    at,
    x: x(at),
    // as wide as its longer line
    width: 8 * Math.max(id.length + 1, lengthDigits(at, lengths).length),
  }));
  const order = labels.toSorted((a, b) => a.x - b.x);
  const rows = labelRows(order, 1);
  return order.map(
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
  );
}

function RodRuler({ from, to, lengths, scale }: { from: number; to: number; lengths: LengthDisplay; scale: RodScale }) {
  const { x, perMm, width, height } = scale;
  const left = from - x(from) / perMm;
  const ticks = rulerTicks({ from: left, to: left + width / perMm }, width, lengths);
  return (
    <g className="ruler">
      <path d={`M${x(from)} ${height - rulerAt}H${x(to)}`} />
      {ticks
        .filter(({ at }) => at >= from - 1e-6 && at <= to + 1e-6)
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
  );
}
