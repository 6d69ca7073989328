import { type PaperName, tileNumber } from '../../mat/tile.ts';
import { formatLength, type LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { GuidesOver } from '../coverage/guides_over_mat.ts';
import { isTilted, type NextPhoto, type WantedStretch } from '../coverage/next_photo.ts';
import { tilesOf } from '../coverage/photo_coverage.ts';
import type { PhotoView } from '../coverage/photo_view.ts';
import { type StillToDo, stillToDo } from '../coverage/wanted_photo.ts';
import type { FrameLook } from '../workers/tag_tasks.ts';
import { photoWords } from '../words/photo_words.ts';

/** What to do with the camera now; `take` when the frame is the photo that is wanted. */
export interface CameraAdvice {
  take: boolean;
  /** the frame would make no good photo of anything */
  spoilt?: true;
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

/** The mat, and the guides of a rod that is known to lie over it. */
export interface MatInView {
  paper: PaperName;
  lengths: LengthDisplay;
  guides?: GuidesOver | undefined;
}

/** What keeps this frame from being a photo comes first, then where to go, then "take this one". */
export function cameraAdvice(frame: FrameLook, view: PhotoView, next: NextPhoto, mat: MatInView): CameraAdvice {
  const spoilt = whatSpoils(frame, view);
  return spoilt === undefined ? whereToGo(view, next, mat) : { take: false, spoilt: true, says: spoilt };
}

/** Why no photo should be made of this frame, wherever it is of. */
export function whatSpoils(frame: FrameLook, view: PhotoView): string | undefined {
  const say = photoWords.camera;
  const kinds = new Set(frame.quality.problems.map(({ kind }) => kind));
  if (kinds.has('dark')) return say.dark;
  if (frame.tags.length === 0) return say.noTags;
  if (kinds.has('blurred') || kinds.has('moved')) return say.blurred;
  const pixelsPerMm = frame.quality.pixelsPerMm ?? 1;
  if (!view.columns) {
    const close = pixelsPerMm * rowsApart > 0.9 * Math.min(frame.width, frame.height);
    return close ? say.tooClose : say.oneRow;
  }
  if (pixelsPerMm < leastPixelsPerMm) return say.tooFar;
  if (kinds.has('glare') || kinds.has('bright') || kinds.has('flat')) return say.glare;
  return Math.abs(view.tilt ?? 0) > mostTilt ? say.slanted : undefined;
}

function whereToGo(view: PhotoView, next: NextPhoto, { paper, lengths, guides }: MatInView): CameraAdvice {
  const say = photoWords.camera;
  const wait = (says: string): CameraAdvice => ({ take: false, says });
  const take: CameraAdvice = { take: true, says: say.takeThis };
  switch (next.kind) {
    case 'stretch':
      if (shows(view, next)) return next.tilted && !isTilted(view) ? wait(say.tiltHere) : take;
      return wait(stretchWords(next, guides?.(next.columns)));
    case 'wanted': {
      const left = stillToDo(view, next.photo, paper);
      return left ? wait(stillToDoWords(left, lengths)) : take;
    }
    case 'tilt':
      return isTilted(view) ? take : wait(say.tiltMore);
    case 'more':
      return take;
    case 'enough':
      return { take: true, says: say.enough };
  }
}

/** Whether a view takes in enough of a stretch, with the end that is come to first. */
function shows({ columns: shown }: PhotoView, { columns, toward }: WantedStretch): boolean {
  if (!shown) return false;
  const share =
    (Math.min(columns.to, shown.to) - Math.max(columns.from, shown.from) + 1) / (columns.to - columns.from + 1);
  return share >= leastShare && (toward === 'butt' ? shown.from <= columns.from : shown.to >= columns.to);
}

/** More names than this are not read while one walks. */
const mostNamed = 2;

function stretchWords({ columns, seen, toward, tilted }: WantedStretch, guides: readonly string[] = []): string {
  const say = photoWords.camera;
  const { from, to } = tilesOf(columns);
  const tile = tileNumber(toward === 'butt' ? from : to);
  const first = toward === 'butt' ? guides.slice(0, mostNamed) : guides.slice(-mostNamed).toReversed();
  if (seen === 0) return say.moveTo(tile, first);
  return tilted ? say.moveTilted(tile, first) : say.moveOn(tile, first);
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
