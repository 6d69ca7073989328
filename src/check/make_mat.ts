import { matFound } from '../adjust/mat_found.ts';
import type { MatProfile } from '../adjust/mat_profile.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { signOf } from '../adjust/photo_sign.ts';
import { tileNumber } from '../mat/tile.ts';
import { covarianceAt } from '../numerics/joint_covariance.ts';
import { InputError } from '../plan/input_error.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { KnownBefore } from './known_before.ts';
import { type Progress, placePhotos } from './place_photos.ts';
import { type LoadPhoto, matTags } from './tagged_views.ts';

/** A page known no better than this against its neighbours is not worth keeping, mm. */
const looselyPlaced = 0.7;

/** A mat kept from photos, and what is to be said of it in plain sentences. */
export interface MadeMat {
  profile: MatProfile;
  sentences: string[];
}

/**
 * The taped mat as a walk of photos over it tells it, with the shoot's readings: with or without a rod on it. Throws
 * InputError, one sentence, where the photos do not tell.
 */
export async function makeMat(
  shoot: Pick<Shoot, 'photos' | 'mat'>,
  load: LoadPhoto,
  { name, madeAt, lenses, onProgress }: MakeMatOptions,
): Promise<MadeMat> {
  const { tagged, mat } = await placePhotos(shoot, load, onProgress, { ...(lenses && { lenses }) });
  onProgress({ stage: 'Done', done: 1 });
  return matToKeep(mat, shoot.mat, {
    name,
    ...(madeAt !== undefined && { madeAt }),
    signs: tagged.map(({ reading }) => signOf(matTags(reading))),
  });
}

export interface MakeMatOptions extends Pick<KnownBefore, 'lenses'> {
  name: string;
  madeAt?: string;
  onProgress: (progress: Progress) => void;
}

/** A mat as a check or a walk has solved it, to be kept. Throws InputError where it is not known well enough. */
export function matToKeep(
  mat: MatSolution,
  readings: Shoot['mat'],
  named: Pick<MatProfile, 'name' | 'madeAt' | 'signs'>,
): MadeMat {
  if (readings.span === undefined && readings.rowAlong === undefined && readings.barAlong === undefined)
    throw new InputError(
      'Nothing was measured on this mat, so its size is not known: measure the row of squares and the span first, and name them in the shoot.',
    );
  const found = matFound(mat, readings);
  if (!found)
    throw new InputError(
      'The photos do not tie the pages together: take one more photo that shows two neighbouring pages at once.',
    );
  const loose = mat.tiles.find(({ tile }) => sidewaysSigma(mat, tile) > looselyPlaced);
  if (loose)
    throw new InputError(
      `Page ${tileNumber(loose.tile)} is seen too little to be kept: take one more photo that shows it whole beside its neighbour.`,
    );
  const pages = mat.tiles.map(({ tile }) => tileNumber(tile));
  return {
    profile: { ...found, ...named },
    sentences: [
      `Pages ${pages.join(', ')}, from ${found.photos === 1 ? 'one photo' : `${found.photos} photos`}; the farthest stands ${Math.max(...mat.tiles.flatMap(({ heights }) => heights.map(Math.abs))).toFixed(1)} mm off flat.`,
    ],
  };
}

/** How well a page's place across is known against the page held, mm. */
function sidewaysSigma({ index, covariance }: MatSolution, tile: number): number {
  const at = index.tiles.get(tile)!.place;
  return Math.sqrt(covarianceAt(covariance!, at + 1, at + 1));
}
