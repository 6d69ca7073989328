import type { Bend } from '../../plan/bend/elastica.ts';
import type { Plan } from '../../plan/plan.ts';
import { useWidth } from '../kit/use_width.ts';
import { planWords } from '../words/plan_words.ts';

const room = 40;
/** labels of the tip's guides stand to its left */
const labelRoom = 60;

/** px between a label and the next above it, and of a letter */
const line = 20;
const letter = 8.5;

interface GuideLabel {
  text: string;
  at: { x: number; y: number };
  /** unit, to the outside of the bend */
  outward: { x: number; y: number };
}

/**
 * Where each label stands: outside of the bend, far enough for a text that is wider than high, and a line farther out
 * for as long as it would lie on one before it.
 */
function placeLabels(guides: readonly GuideLabel[]): { x: number; y: number }[] {
  const placed: { x: number; y: number; half: number }[] = [];
  for (const { text, at, outward } of guides) {
    const half = (text.length * letter) / 2;
    const stand = (lines: number) => ({
      x: at.x + outward.x * (42 + lines * line),
      y: at.y + outward.y * (22 + lines * line),
      half,
    });
    const covers = (label: { x: number; y: number }) =>
      placed.some(
        (other) => Math.abs(other.x - label.x) < other.half + half && Math.abs(other.y - label.y) < line * 0.9,
      );
    let lines = 0;
    while (lines < guides.length && covers(stand(lines))) lines++;
    placed.push(stand(lines));
  }
  return placed;
}

/** The bent rod true to shape, tip at the left: blank, line, and the turn of the line at each guide. */
export function PlanBendDrawing({ bend, plan }: { bend: Bend; plan: Plan }) {
  const [width, followWidth] = useWidth<HTMLDivElement>(360);
  const ids = plan.positions.filter((position) => position.kind === 'guide').map(({ id }) => id);
  const handle = Math.max(0, plan.blank.length - (bend.points.at(-1)?.s ?? 0));
  const xs = [...bend.points, ...bend.linePoints].map((point) => point.x);
  const ys = [...bend.points, ...bend.linePoints].map((point) => point.y);
  const [left, right] = [Math.max(...xs), Math.min(-handle, ...xs)];
  const [top, bottom] = [Math.max(...ys), Math.min(...ys)];
  const scale = Math.min((width - room - labelRoom) / (left - right), 420 / Math.max(top - bottom, 1));
  const height = (top - bottom) * scale + 2 * room;
  // the bend's own x runs from butt to tip
  const place = ({ x, y }: { x: number; y: number }) => ({
    x: labelRoom + (left - x) * scale,
    y: room + (top - y) * scale,
  });
  const path = (points: readonly { x: number; y: number }[]) =>
    `M${points
      .map((point) => place(point))
      .map(({ x, y }) => `${x.toFixed(1)} ${y.toFixed(1)}`)
      .join('L')}`;
  // guides, without the tip-top before them and the reel behind
  const guides = bend.linePoints.slice(1, -1).map((point, k) => {
    const turn = bend.turns[k + 1]!;
    const before = bend.linePoints[k]!;
    const after = bend.linePoints[k + 2]!;
    const [from, to] = [place(before), place(after)];
    const [dx, dy] = [to.x - from.x, to.y - from.y];
    const size = Math.hypot(dx, dy);
    const at = place(point);
    return { at, text: `${ids[k]!} ${turn.toFixed(0)}°`, outward: { x: dy / size, y: -dx / size } };
  });
  const labels = placeLabels(guides);
  const [highest, lowest] = [Math.min(0, ...labels.map(({ y }) => y - line)), Math.max(...labels.map(({ y }) => y))];
  return (
    <figure className="view" ref={followWidth}>
      <svg
        viewBox={`0 ${highest} ${width} ${Math.max(height, lowest + line) - highest}`}
        role="img"
        aria-label={planWords.bendDrawing}
        className="bend-drawing"
      >
        <path className="bend-blank" d={`${path([...bend.points, { x: -handle, y: 0 }])}`} />
        <path className="bend-line" d={path(bend.linePoints)} />
        {guides.map(({ text, at }, i) => (
          <g key={text}>
            <circle className="bend-guide" cx={at.x} cy={at.y} r={3.5} />
            <text x={labels[i]!.x} y={labels[i]!.y} textAnchor="middle" dominantBaseline="middle">
              {text}
            </text>
          </g>
        ))}
      </svg>
      <figcaption>{planWords.bendDrawingHelp}</figcaption>
    </figure>
  );
}
