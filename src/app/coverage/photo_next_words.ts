import { tileNumber } from '../../mat/tile.ts';
import { nextPhotoText } from '../../verdict/next_photo_words.ts';
import { leastTilt, type NextPhoto } from './next_photo.ts';
import { tilesOf } from './photo_coverage.ts';
import { photoWords } from '../words/photo_words.ts';

/** The next photo in one sentence. */
export function nextPhotoWords(next: NextPhoto): string {
  const { next: say } = photoWords;
  switch (next.kind) {
    case 'stretch': {
      const { from, to } = tilesOf(next.columns);
      const words = next.seen === 0 ? say.stretch : next.tilted ? say.againTilted : say.again;
      return words(tileNumber(from), tileNumber(to));
    }
    case 'tilt':
      return say.tilt;
    case 'wanted':
      return say.wanted(nextPhotoText(next.photo));
    case 'more':
      return say.more(next.count);
    case 'enough':
      return say.enough;
  }
}

/** From where along the rod's side a photo was taken: degrees from straight above. */
export const tiltWords = (tilt: number): string =>
  Math.abs(tilt) < leastTilt ? photoWords.fromAbove : photoWords.tilted(Math.round(Math.abs(tilt)));
