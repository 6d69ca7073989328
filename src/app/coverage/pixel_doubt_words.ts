import { photoWords } from '../words/photo_words.ts';
import { pixelDoubtWords, usualSide } from './pixel_doubt.ts';
import type { SeenPhoto } from './photo_entries.ts';

/**
 * How much more doubt pictures bring that are `side` pixels long, against the shoot's photos and a usual phone photo;
 * nothing where it would not be noticed.
 */
export function fewPixelsWords(side: number, photos: readonly SeenPhoto[]): string | undefined {
  const sides = photos.flatMap(({ state }) =>
    state.kind === 'seen' ? [Math.max(state.look.width, state.look.height)] : [],
  );
  const own = Math.max(usualSide, ...sides);
  const doubt = pixelDoubtWords(side, own);
  return doubt && photoWords.fewPixels(side, own, photoWords.doubts[doubt]);
}
