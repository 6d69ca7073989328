import { formatLength, type LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { ReportBlank } from '../../verdict/report.ts';
import { placeText } from '../../verdict/wording.ts';
import { useWidth } from '../kit/use_width.ts';
import { blankWords } from '../words/blank_words.ts';

/** How many times as large as along: what is drawn across, so that thickness and bow can be seen; the tallest, px */
const enlarged = [1, 2, 5, 10, 20, 50, 100] as const;
const tallest = 130;
const side = 14;
const labelRoom = 26;

/**
 * The measured blank from above, tip at the left: its outline through the measured diameters with a line across at
 * each, bowed as it lies sideways, all that is across enlarged by one stated factor.
 */
export function BlankDrawing({ blank, display }: { blank: ReportBlank; display: LengthDisplay }) {
  const [width, followWidth] = useWidth<HTMLDivElement>(360);
  const rows = blank.diameters.map(([along, diameter], i) => ({ along, diameter, right: blank.bow[i]?.[1] ?? 0 }));
  const last = rows.at(-1);
  if (!last || rows.length < 2) return null;
  const perMm = (width - 2 * side) / last.along;
  const top = Math.max(...rows.map(({ right, diameter }) => right + diameter / 2));
  const bottom = Math.min(...rows.map(({ right, diameter }) => right - diameter / 2));
  const times = enlarged.findLast((factor) => (top - bottom) * perMm * factor <= tallest) ?? 1;
  const x = (along: number) => side + along * perMm;
  // seen from the butt at the right, what lies to the right lies toward the top of the drawing
  const y = (right: number) => labelRoom + (top - right) * perMm * times;
  const height = y(bottom) + labelRoom;
  const edge = (way: 1 | -1) =>
    rows.map((row) => `${x(row.along).toFixed(1)} ${y(row.right + (way * row.diameter) / 2).toFixed(1)}`);
  const unit = display === 'mm' ? 'mm' : 'in';
  const diameterText = (mm: number) => formatLength(mm, unit, { mmDecimals: 1, inchDecimals: 3 });
  const named = [0, Math.round((rows.length - 1) / 2), rows.length - 1].map((i) => rows[i]!);
  const anchors = ['start', 'middle', 'end'] as const;
  return (
    <figure className="view" ref={followWidth}>
      <svg
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={blankWords.drawingSays(placeText(blank.length?.value ?? last.along, display))}
      >
        <path className="blank-outline" d={`M${edge(1).join('L')}L${edge(-1).toReversed().join('L')}Z`} />
        {rows.map((row) => (
          <path
            key={row.along}
            className="blank-station"
            d={`M${x(row.along)} ${y(row.right + row.diameter / 2) - 2}V${y(row.right - row.diameter / 2) + 2}`}
          />
        ))}
        <path className="blank-chord" d={`M${x(rows[0]!.along)} ${y(0)}H${x(last.along)}`} />
        {named.map((row, i) => (
          <g key={row.along}>
            <text x={x(row.along)} y={labelRoom - 10} textAnchor={anchors[i]}>
              {diameterText(row.diameter)}
            </text>
            <text x={x(row.along)} y={height - 4} textAnchor={anchors[i]} className="blank-place">
              {placeText(row.along, display)}
            </text>
          </g>
        ))}
      </svg>
      <figcaption className="hint">{blankWords.drawingHelp(times)}</figcaption>
    </figure>
  );
}
