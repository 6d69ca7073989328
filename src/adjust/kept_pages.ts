import type { ResidualBlock } from '../numerics/residual_block.ts';
import { type MatPart, type MatProfile, matPrior, partOfMat, printGrowth } from './mat_profile.ts';
import type { MatStart } from './mat_start.ts';
import { prior } from './prior.ts';
import type { TileIndex } from './tag_block.ts';

/**
 * A kept mat, and the pages of it that are known to lie as they lay. Of none, the print's scale alone is taken as it
 * was found then, right or wrong: to compare pages with those of then.
 */
export interface KeptPages {
  profile: MatProfile;
  pages: readonly number[];
}

/** The page of a kept mat that is held where the start has it, and all its pages in view as they lie by that. */
export function keptPart({ profile, pages }: KeptPages, start: MatStart): { part: MatPart; held: number } | undefined {
  const seen = pages.filter((tile) => start.tiles.has(tile));
  if (seen.length === 0) return undefined;
  const held = Math.min(...seen);
  return { part: partOfMat(profile, seen, start.tiles.get(held)!), held };
}

/** What a kept mat says of pages and print, as observations. */
export function keptMatPriors(
  { profile }: KeptPages,
  known: { part: MatPart; held: number } | undefined,
  tiles: ReadonlyMap<number, TileIndex>,
  printScale: number,
): ResidualBlock[] {
  const together = known && matPrior(known.part, known.held, tiles, printScale);
  if (together) return [together];
  return [
    prior(printScale, profile.printScale.along, printGrowth),
    prior(printScale + 1, profile.printScale.across, printGrowth),
  ];
}
