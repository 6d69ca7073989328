import { lensProfileToText } from '../adjust/lens_file.ts';
import type { LensProfile } from '../adjust/lens_profile.ts';
import type { KeptLens } from './kept_profile.ts';

/** A lens as the app keeps it. */
export const keptLensOf = (profile: LensProfile): KeptLens => {
  const { camera, name, madeAt, photos, corner } = profile;
  return { camera, name, ...(madeAt !== undefined && { madeAt }), photos, corner, text: lensProfileToText(profile) };
};
