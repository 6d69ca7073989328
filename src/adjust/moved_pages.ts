import { sigmas, type TagSighting } from './mat_problem.ts';

/** A tile that lies differently in one photo than in the others. */
export interface MovedPage {
  photo: number;
  tile: number;
  byMm: number;
}

/** A wave in the paper makes corners miss by a pixel or two, a page that was pushed by more. */
const movedPixels = 3;
const movedMm = 0.6;

/**
 * Tiles whose corners in one photo all miss the same way by some pixels: with the robust loss the others outvote
 * them, so the miss tells how far the tile (or the photo's whole bench) moved.
 */
export function movedPages(tags: readonly TagSighting[], values: Float64Array, photos: number): MovedPage[] {
  const moved: MovedPage[] = [];
  for (let photo = 0; photo < photos; photo++) {
    for (const tile of new Set(tags.filter((t) => t.photo === photo).map((t) => t.tile))) {
      const own = tags.filter((t) => t.photo === photo && t.tile === tile);
      let x = 0;
      let y = 0;
      let side = 0;
      for (const { block } of own) {
        const r = new Float64Array(8);
        const j = new Float64Array(8 * block.parameters.length);
        block.evaluate(values, r, j);
        for (let i = 0; i < 4; i++) {
          x += (r[2 * i]! * sigmas.corner) / (4 * own.length);
          y += (r[2 * i + 1]! * sigmas.corner) / (4 * own.length);
        }
        // Pixels a millimetre, from the derivative by the tile's place.
        side += (Math.hypot(j[17]!, j[block.parameters.length + 17]!) * sigmas.corner) / own.length;
      }
      const miss = Math.hypot(x, y);
      if (own.length >= 2 && miss > movedPixels && miss / side > movedMm)
        moved.push({ photo, tile, byMm: miss / side });
    }
  }
  return moved;
}
