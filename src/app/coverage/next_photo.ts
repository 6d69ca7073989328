import { tagsPerRow } from '../../mat/tile.ts';
import type { ReportNextPhoto } from '../../verdict/report.ts';
import { columnCounts, missing } from './photo_coverage.ts';
import type { Columns, PhotoView } from './photo_view.ts';

/** What the next photo should be. */
export type NextPhoto =
  | WantedStretch
  | { kind: 'tilt' }
  /** the one that the last check asked for */
  | { kind: 'wanted'; photo: ReportNextPhoto }
  /** nothing is missing, but `count` more make the usual least number */
  | { kind: 'more'; count: number }
  | { kind: 'enough' };

/** A stretch that so far `seen` photos show. */
export interface WantedStretch {
  kind: 'stretch';
  columns: Columns;
  seen: 0 | 1;
  /** which way one goes through it: the end that is come to first must be in the photo */
  toward: 'butt' | 'tip';
  /** no photo so far is tilted, and this one may as well be */
  tilted: boolean;
}

/** Degrees from straight above from where the side of a ring shows; walks take 15 to 25. */
export const leastTilt = 12;
/** Photos that sign a rod off. */
const usualLeast = 4;
/** Columns one photo takes in well from 60 cm: two tiles. */
const photoColumns = 2 * tagsPerRow;

/**
 * What to take after the photos so far, the tip's end first; `views` are of photos that will do, in the order they were
 * taken, `wanted` is what the last check asked for: it goes after what no photo shows. What one photo shows is gone
 * through from where the last one was taken, so that a walk that came to the butt goes back along the rod.
 */
export function nextPhoto(views: readonly PhotoView[], tiles: number, wanted?: ReportNextPhoto): NextPhoto {
  const counts = columnCounts(views, tiles);
  const never = runs(counts, 0)[0];
  if (never) return stretch(never, 'butt', { seen: 0, tilted: false });
  if (wanted) return { kind: 'wanted', photo: wanted };
  const tilted = views.some(isTilted);
  const { columns: last } = views.findLast(({ columns }) => columns) ?? {};
  const [nearest] = runs(counts, 1).toSorted((a, b) => distance(a, last) - distance(b, last));
  if (nearest) {
    const back = last !== undefined && nearest.from + nearest.to <= last.from + last.to;
    return stretch(nearest, back ? 'tip' : 'butt', { seen: 1, tilted: !tilted });
  }
  if (!tilted) return { kind: 'tilt' };
  return views.length < usualLeast ? { kind: 'more', count: usualLeast - views.length } : { kind: 'enough' };
}

export const isTilted = ({ tilt }: PhotoView): boolean => tilt !== undefined && Math.abs(tilt) >= leastTilt;

/** Runs of columns that so many photos show and that more should. */
function runs(counts: readonly number[], seen: 0 | 1): Columns[] {
  const lacking = missing(counts);
  const found: Columns[] = [];
  counts.forEach((count, column) => {
    if (lacking[column] === 0 || count !== seen) return;
    const last = found.at(-1);
    if (last?.to === column - 1) last.to = column;
    else found.push({ from: column, to: column });
  });
  return found;
}

/** As much of a run as one photo takes in, from the end that is come to first. */
function stretch(
  { from, to }: Columns,
  toward: WantedStretch['toward'],
  rest: Pick<WantedStretch, 'seen' | 'tilted'>,
): WantedStretch {
  const columns =
    toward === 'butt'
      ? { from, to: Math.min(to, from + photoColumns - 1) }
      : { from: Math.max(from, to - photoColumns + 1), to };
  return { kind: 'stretch', columns, toward, ...rest };
}

/** Columns from one's middle to the other's; without another, from the tip's end. */
const distance = (a: Columns, b: Columns | undefined): number =>
  b ? Math.abs(a.from + a.to - b.from - b.to) / 2 : a.from;
