import { flatness, type MatSolution } from '../adjust/mat_summary.ts';
import { tileNumber } from '../mat/tile.ts';

/** Waves up to this are solved for as well as they are seen; beyond, they are steep between the squares, mm. */
const solvedFor = 2;

/** How far the mat lay from flat (mm), and a sentence where that is more than the photos can make good. */
export function matFlatness(mat: MatSolution): { flatWithin: number; notes: string[] } {
  const { within, tile } = flatness(mat);
  const notes =
    within > solvedFor
      ? [
          `Page ${tileNumber(tile)} of the mat stands up by ${within.toFixed(1)} mm: tape it down smooth and shoot again.`,
        ]
      : [];
  return { flatWithin: within, notes };
}
