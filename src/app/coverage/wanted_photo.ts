import { paperSizes, type PaperName, tagSpacing, tagsPerRow } from '../../mat/tile.ts';
import type { KeptCheck } from '../../store/build.ts';
import type { ReportNextPhoto } from '../../verdict/report.ts';
import type { PhotoJudgement } from './photo_judgement.ts';
import type { PhotoView } from './photo_view.ts';

/** What keeps a view from being the photo that the last check asked for; nothing where it is that photo. */
export type StillToDo =
  /** go to a page (counted from 0) */
  | { kind: 'page'; tile: number }
  | { kind: 'lower' | 'higher'; height: number }
  | { kind: 'above' | 'slant' }
  /** stand over a page and look back at another */
  | { kind: 'look-back'; over: number; at: number };

const close = {
  /** of the wanted height, share of it */
  height: 0.25,
  /** of the wanted place along the mat, share of the height */
  along: 0.2,
  /** degrees from straight above: no more where it is wanted straight, no less where aslant */
  straight: 12,
  slant: 18,
} as const;

/** What is left to do until a view is the wanted photo, in the order one does it. */
export function stillToDo(view: PhotoView, wanted: ReportNextPhoto, paper: PaperName): StillToDo | undefined {
  const { aim, stand, height, from } = wanted;
  const column = aim.tile * tagsPerRow + Math.min(Math.max(Math.round(aim.u / tagSpacing) + 2, 0), tagsPerRow - 1);
  const { columns, tilt = 0 } = view;
  if (!columns || column < columns.from || column > columns.to) return { kind: 'page', tile: aim.tile };
  if (view.height !== undefined && Math.abs(view.height / height - 1) > close.height)
    return { kind: view.height > height ? 'lower' : 'higher', height };
  if (from === 'side') return Math.abs(tilt) < close.slant ? { kind: 'slant' } : undefined;
  if (Math.abs(tilt) > close.straight) return { kind: 'above' };
  const { width } = paperSizes[paper];
  const there = aim.tile * width + aim.u + stand.along;
  if (view.along === undefined || Math.abs(view.along - there) <= close.along * height) return undefined;
  if (from === 'above') return { kind: 'above' };
  return { kind: 'look-back', over: Math.max(Math.round(there / width), 0), at: aim.tile };
}

/**
 * The photo that the last check asked for, while its photos are all here, it was of this stage, and none that was added
 * since is that photo.
 */
export function wantedPhoto(
  check: KeptCheck | undefined,
  stage: string,
  photos: readonly { entry: { id: string }; view?: PhotoView; judgement?: PhotoJudgement }[],
  paper: PaperName,
): ReportNextPhoto | undefined {
  const wanted = check?.report.nextPhoto;
  if (!check || !wanted || check.report.stage !== stage) return undefined;
  const checked = new Set(Object.values(check.photoIds));
  const here = new Set(photos.map(({ entry }) => entry.id));
  if ([...checked].some((id) => !here.has(id))) return undefined;
  const taken = photos.some(
    ({ entry, view, judgement }) =>
      !checked.has(entry.id) && view && judgement?.mark !== 'unusable' && stillToDo(view, wanted, paper) === undefined,
  );
  return taken ? undefined : wanted;
}
