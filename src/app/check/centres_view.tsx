import { planStart } from '../../plan/plan.ts';
import type { KeptCheck } from '../../store/build.ts';
import { type RingInView, ringsInView } from './ring_views.ts';
import { useWidth } from '../kit/use_width.ts';
import { viewWords } from '../words/items_words.ts';

const room = { left: 34, right: 34, top: 26, bottom: 34 };

/**
 * Top and side view of the ring centres: sideways from the reference line, and height above the axis. With the tip at
 * the left, what is right as seen from the butt lies up in the top view.
 */
export function CentresView({ check }: { check: KeptCheck }) {
  const [width, followWidth] = useWidth<HTMLDivElement>(360);
  const rings = ringsInView(check);
  const limit = Math.tan((check.plan.tolerance.roll * Math.PI) / 180);
  const start = planStart(check.plan);
  const along = (mm: number) => room.left + ((mm - start) / check.plan.blank.length) * (width - room.left - room.right);
  const sideways = Math.max(1.2, ...rings.flatMap((ring) => [Math.abs(ring.right), Math.abs(ring.up) * limit]));
  const tallest = Math.max(...rings.map((ring) => ring.up));
  const acrossTop = 70 / sideways;
  const acrossSide = 120 / tallest;
  const alongScale = (width - room.left - room.right) / check.plan.blank.length;
  return (
    <div ref={followWidth} className="centres">
      <View
        width={width}
        title={viewWords.top}
        help={viewWords.topHelp(Math.round(acrossTop / alongScale), check.plan.tolerance.roll)}
        height={room.top + room.bottom + 150}
        zero={room.top + 75}
        rings={rings}
        along={along}
        across={(ring) => -ring.right * acrossTop}
        limits={(ring) => [-limit * ring.up * acrossTop, limit * ring.up * acrossTop]}
        off={(ring) => ring.item.rollVerdict === 'off'}
      />
      <View
        width={width}
        title={viewWords.side}
        help={viewWords.sideHelp(Math.round(acrossSide / alongScale))}
        height={room.top + room.bottom + 130}
        zero={room.top + 130}
        rings={rings}
        along={along}
        across={(ring) => -ring.up * acrossSide}
        planned={(ring) =>
          ring.plannedHeight === undefined ? undefined : -(ring.plannedHeight + ring.blankRadius) * acrossSide
        }
        off={(ring) => ring.item.guideVerdict === 'different'}
      />
    </div>
  );
}

/** How one view shows a ring, px below its line. */
interface RingDrawn {
  along: (mm: number) => number;
  across: (ring: RingInView) => number;
  limits?: (ring: RingInView) => [number, number];
  planned?: (ring: RingInView) => number | undefined;
  off: (ring: RingInView) => boolean;
}

function View({
  width,
  title,
  help,
  height,
  zero,
  rings,
  ...drawn
}: RingDrawn & {
  width: number;
  title: string;
  help: string;
  height: number;
  /** the axis's line, px from the top */
  zero: number;
  rings: readonly RingInView[];
}) {
  return (
    <figure className="view">
      <h2>{title}</h2>
      <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-label={`${title}. ${help}`}>
        <path className="view-line" d={`M${room.left} ${zero}H${width - room.right}`} />
        <text x={4} y={zero + 5}>
          {viewWords.tip}
        </text>
        <text x={width - 4} y={zero + 5} textAnchor="end">
          {viewWords.butt}
        </text>
        {rings.map((ring, i) => (
          <RingCentre
            key={ring.item.id}
            ring={ring}
            zero={zero}
            // names in two rows, so that near ones don't run into each other
            nameAt={height - (i % 2 === 0 ? 18 : 2)}
            {...drawn}
          />
        ))}
      </svg>
      <figcaption>{help}</figcaption>
    </figure>
  );
}

/** A ring's centre, where the plan wants it, and how far it may be off. */
function RingCentre({
  ring,
  zero,
  nameAt,
  along,
  across,
  limits,
  planned,
  off,
}: RingDrawn & { ring: RingInView; zero: number; nameAt: number }) {
  const x = along(ring.along);
  const y = zero + across(ring);
  const [low, high] = limits?.(ring) ?? [];
  const wanted = planned?.(ring);
  return (
    <g className={off(ring) ? 'view-off' : ''}>
      {low !== undefined && high !== undefined && (
        <path
          className="view-limit"
          d={`M${x - 5} ${zero + low}h10M${x} ${zero + low}V${zero + high}M${x - 5} ${zero + high}h10`}
        />
      )}
      {wanted !== undefined && <circle className="view-planned" cx={x} cy={zero + wanted} r={7} />}
      {off(ring) ? (
        <path className="view-centre" d={`M${x} ${y - 7}l7 7l-7 7l-7 -7Z`} />
      ) : (
        <circle className="view-centre" cx={x} cy={y} r={4} />
      )}
      <text x={x} y={nameAt} textAnchor="middle">
        {ring.item.id}
      </text>
    </g>
  );
}
