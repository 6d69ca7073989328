import { type PaperName, tileNumber } from '../../mat/tile.ts';
import { formatLength, type LengthDisplay } from '../../plan/lengths/length_text.ts';
import { leastTilt, type NextPhoto } from '../coverage/next_photo.ts';
import { tilesOf } from '../coverage/photo_coverage.ts';
import type { PhotoView } from '../coverage/photo_view.ts';
import { type StillToDo, stillToDo } from '../coverage/wanted_photo.ts';
import type { FrameLook } from '../workers/tag_tasks.ts';
import { photoWords } from '../words/photo_words.ts';

/** What to do with the camera now; `take` when the frame is the photo that is wanted. */
export interface CameraAdvice {
  take: boolean;
  says: string;
}

/** Degrees: further over, the far row of tags becomes too short. */
const mostTilt = 45;
/** Below this many pixels a mm a cell of a tag is 3 pixels: the reading of tags ends (frames only). */
const leastPixelsPerMm = 0.9;
/** Both rows with their tags lie within this, mm. */
const rowsApart = 168;
/** Of the wanted columns a frame must show. */
const leastShare = 0.6;

/** What keeps this frame from being a photo comes first, then where to go, then "take this one". */
export function cameraAdvice(
  frame: FrameLook,
  view: PhotoView,
  next: NextPhoto,
  { paper, lengths }: { paper: PaperName; lengths: LengthDisplay },
): CameraAdvice {
  const say = photoWords.camera;
  const wait = (says: string): CameraAdvice => ({ take: false, says });
  const kinds = new Set(frame.quality.problems.map(({ kind }) => kind));
  if (kinds.has('dark')) return wait(say.dark);
  if (frame.tags.length === 0) return wait(say.noTags);
  if (kinds.has('blurred') || kinds.has('moved')) return wait(say.blurred);
  const pixelsPerMm = frame.quality.pixelsPerMm ?? 1;
  if (!view.columns) {
    const close = pixelsPerMm * rowsApart > 0.9 * Math.min(frame.width, frame.height);
    return wait(close ? say.tooClose : say.oneRow);
  }
  if (pixelsPerMm < leastPixelsPerMm) return wait(say.tooFar);
  if (kinds.has('glare') || kinds.has('bright') || kinds.has('flat')) return wait(say.glare);
  const tilt = Math.abs(view.tilt ?? 0);
  if (tilt > mostTilt) return wait(say.slanted);
  const take: CameraAdvice = { take: true, says: say.takeThis };
  switch (next.kind) {
    case 'stretch': {
      const { columns, seen } = next;
      const shown = Math.min(columns.to, view.columns.to) - Math.max(columns.from, view.columns.from) + 1;
      if (shown >= leastShare * (columns.to - columns.from + 1) && view.columns.from <= columns.from) return take;
      const tile = tileNumber(tilesOf(columns).from);
      return wait(seen === 0 ? say.moveTo(tile) : say.moveOn(tile));
    }
    case 'wanted': {
      const left = stillToDo(view, next.photo, paper);
      return left ? wait(stillToDoWords(left, lengths)) : take;
    }
    case 'tilt':
      return tilt >= leastTilt ? take : wait(say.tiltMore);
    case 'more':
      return take;
    case 'enough':
      return { take: true, says: say.enough };
  }
}

/** A height of the phone over the mat, to the nearest centimetre or inch. */
export const heightWords = (mm: number, lengths: LengthDisplay): string =>
  formatLength(Math.round(mm / 10) * 10, lengths === 'mm' ? 'mm' : 'in', { mmDecimals: 0, inchDecimals: 0 });

function stillToDoWords(left: StillToDo, lengths: LengthDisplay): string {
  const say = photoWords.camera;
  switch (left.kind) {
    case 'page':
      return say.moveTo(tileNumber(left.tile));
    case 'lower':
    case 'higher':
      return say[left.kind](heightWords(left.height, lengths));
    case 'above':
      return say.straight;
    case 'slant':
      return say.slant;
    case 'look-back':
      return say.lookBack(tileNumber(left.over), tileNumber(left.at));
  }
}
