import { lensProfileToText } from '../adjust/lens_file.ts';
import type { LensProfile } from '../adjust/lens_profile.ts';
import { matProfileToText } from '../adjust/mat_file.ts';
import type { MatProfile } from '../adjust/mat_profile.ts';
import { tileNumber } from '../mat/tile.ts';
import type { KeptLens, KeptMat } from './kept_profile.ts';
import { newId } from './new_id.ts';

/** A lens as the app keeps it. */
export const keptLensOf = (profile: LensProfile): KeptLens => {
  const { camera, name, madeAt, photos, corner } = profile;
  return { camera, name, ...(madeAt !== undefined && { madeAt }), photos, corner, text: lensProfileToText(profile) };
};

/** A mat as the app keeps it, under an id of its own. */
export const keptMatOf = (profile: MatProfile): KeptMat => {
  const { name, madeAt, photos, tiles } = profile;
  const pages = tiles.map(({ tile }) => tileNumber(tile));
  return { id: newId(), name, ...(madeAt !== undefined && { madeAt }), photos, pages, text: matProfileToText(profile) };
};
