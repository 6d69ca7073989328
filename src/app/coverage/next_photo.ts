import { tagsPerRow } from '../../mat/tile.ts';
import type { ReportNextPhoto } from '../../verdict/report.ts';
import { columnCounts, missing } from './photo_coverage.ts';
import type { Columns, PhotoView } from './photo_view.ts';

/** What the next photo should be. */
export type NextPhoto =
  /** this stretch, which so far `seen` photos show */
  | { kind: 'stretch'; columns: Columns; seen: 0 | 1 }
  | { kind: 'tilt' }
  /** the one that the last check asked for */
  | { kind: 'wanted'; photo: ReportNextPhoto }
  /** nothing is missing, but `count` more make the usual least number */
  | { kind: 'more'; count: number }
  | { kind: 'enough' };

/** Degrees from straight above from where the side of a ring shows; walks take 15 to 25. */
export const leastTilt = 12;
/** Photos that sign a rod off. */
const usualLeast = 4;
/** Columns one photo takes in well from 60 cm: two tiles. */
const photoColumns = 2 * tagsPerRow;

/**
 * What to take after the photos so far, the tip's end first; `views` are of photos that will do, `wanted` is what the
 * last check asked for: it goes after what no photo shows.
 */
export function nextPhoto(views: readonly PhotoView[], tiles: number, wanted?: ReportNextPhoto): NextPhoto {
  const counts = columnCounts(views, tiles);
  const lacking = missing(counts);
  for (const seen of [0, 1] as const) {
    if (seen === 1 && wanted) return { kind: 'wanted', photo: wanted };
    const from = counts.findIndex((count, column) => lacking[column]! > 0 && count === seen);
    if (from < 0) continue;
    let to = from;
    while (to + 1 < counts.length && to + 1 - from < photoColumns && lacking[to + 1]! > 0 && counts[to + 1] === seen)
      to++;
    return { kind: 'stretch', columns: { from, to }, seen };
  }
  if (!views.some(({ tilt }) => tilt !== undefined && Math.abs(tilt) >= leastTilt)) return { kind: 'tilt' };
  return views.length < usualLeast ? { kind: 'more', count: usualLeast - views.length } : { kind: 'enough' };
}
