import { tagsPerRow } from '../../mat/tile.ts';
import type { Columns, PhotoView } from './photo_view.ts';

/** How many photos show each column of the mat, tip's tile first. */
export function columnCounts(views: readonly PhotoView[], tiles: number): number[] {
  return Array.from(
    { length: tiles * tagsPerRow },
    (_, column) => views.filter(({ columns }) => columns && columns.from <= column && column <= columns.to).length,
  );
}

/** Tiles from `from` to `to`, counted from 0. */
export interface Tiles {
  from: number;
  to: number;
}

/** Columns at either end of the mat that one photo is enough for: there is nothing beyond them to step along to. */
const endColumns = 2;

/** Photos a column still needs before the stretch may be called covered twice, 0 to 2. */
export function missing(counts: readonly number[]): number[] {
  return counts.map((count, column) => {
    const atEnd = column < endColumns || column >= counts.length - endColumns;
    return Math.max((atEnd ? 1 : 2) - count, 0);
  });
}

/** Runs of tiles that are covered twice, once and not at all; a tile is as good as its least covered column. */
export function coveredTiles(counts: readonly number[]): { twice: Tiles[]; once: Tiles[]; never: Tiles[] } {
  const lacking = missing(counts);
  const states = Array.from({ length: counts.length / tagsPerRow }, (_, tile) => {
    const own = (values: readonly number[]) => values.slice(tile * tagsPerRow, (tile + 1) * tagsPerRow);
    return Math.min(...own(counts)) === 0 ? 'never' : Math.max(...own(lacking)) === 0 ? 'twice' : 'once';
  });
  const runs = (state: string): Tiles[] => {
    const found: Tiles[] = [];
    states.forEach((own, tile) => {
      const last = found.at(-1);
      if (own !== state) return;
      if (last?.to === tile - 1) last.to = tile;
      else found.push({ from: tile, to: tile });
    });
    return found;
  };
  return { twice: runs('twice'), once: runs('once'), never: runs('never') };
}

export const tilesOf = ({ from, to }: Columns): Tiles => ({
  from: Math.floor(from / tagsPerRow),
  to: Math.floor(to / tagsPerRow),
});
