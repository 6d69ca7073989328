import type { KeptCheck } from '../../store/build.ts';
import { turnedBy } from '../../verdict/relative_rolls.ts';
import { rollText } from '../../verdict/wording.ts';
import { type RingInView, ringsInView } from './ring_views.ts';
import { spreadLabels } from '../kit/spread_labels.ts';
import { viewWords } from '../words/items_words.ts';

const width = 360;
const labelGap = 20;

/** The rings as the builder sees them, sighting along the rod from the butt; the roll reference points straight up. */
export function SightingView({ check }: { check: KeptCheck }) {
  const rings = ringsInView(check);
  const reach = Math.max(...rings.map((ring) => Math.hypot(ring.right, ring.up) + ring.ringOuter / 2));
  const widest = Math.max(...rings.map((ring) => ring.blankRadius));
  const scale = 250 / (reach + widest + 2);
  const height = (reach + widest + 4) * scale + 10;
  const axis = { x: width * 0.42, y: height - (widest + 2) * scale };
  const at = (ring: RingInView) => ({ x: axis.x + ring.right * scale, y: axis.y - ring.up * scale });
  const labels = spreadLabels(
    rings.map((ring) => at(ring).y),
    labelGap,
    12,
    height - 8,
  );
  const limit = (check.plan.tolerance.roll * Math.PI) / 180;
  const edge = (side: number) =>
    `M${axis.x} ${axis.y}L${axis.x + side * Math.sin(limit) * reach * scale} ${axis.y - Math.cos(limit) * reach * scale}`;
  const off = (ring: RingInView) => ring.item.rollVerdict === 'off';
  return (
    <figure className="view" aria-label={viewWords.sighting}>
      <h2>{viewWords.sighting}</h2>
      <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-label={viewWords.sightingSpoken(rings.map(spoken))}>
        <path className="view-limit" d={edge(-1) + edge(1)} />
        <path className="view-line" d={`M${axis.x} ${axis.y}V6`} />
        <circle className="view-blank" cx={axis.x} cy={axis.y} r={widest * scale} />
        {rings.map((ring, i) => {
          const { x, y } = at(ring);
          const r = (ring.ringOuter / 2) * scale;
          const labelX = width * 0.78;
          return (
            <g key={ring.item.id} className={off(ring) ? 'view-off' : ''}>
              <circle className="view-ring" cx={x} cy={y} r={r} />
              <circle className="view-centre" cx={x} cy={y} r={off(ring) ? 4 : 2.5} />
              <path className="view-leader" d={`M${x} ${y}L${labelX - 6} ${labels[i]! - 4}`} />
              <text x={labelX} y={labels[i]}>
                {ring.item.id}
                {off(ring) && rolledBy(ring)}
              </text>
            </g>
          );
        })}
      </svg>
      <figcaption>{viewWords.sightingHelp(check.shoot.rollReference, check.plan.tolerance.roll)}</figcaption>
    </figure>
  );
}

const rolledBy = ({ item }: RingInView): string => {
  const turned = turnedBy(item);
  return turned ? ` ${viewWords.rolled(turned.value)}` : '';
};

const spoken = (ring: RingInView): string =>
  `${ring.item.id}: ${ring.item.roll ? rollText(ring.item.roll) : viewWords.noRoll}`;
