import { isApart, columnsAdded, parallax } from '../camera/taking_by_itself.ts';
import { isTilted, nextPhoto } from '../coverage/next_photo.ts';
import type { PhotoView } from '../coverage/photo_view.ts';
import { stillToDo } from '../coverage/wanted_photo.ts';
import type { PaperName } from '../../mat/tile.ts';
import type { ReportNextPhoto } from '../../verdict/report.ts';

/** One frame of a video that could be a photo. */
export interface VideoFrame {
  /** place in the list of videos */
  video: number;
  /** seconds from its beginning */
  at: number;
  view: PhotoView;
  /** of its edges, pixels of the frame that was looked at; unknown without edges */
  blur?: number;
}

/** What the frames are chosen for. */
export interface ChosenFor {
  /** what the photos that are there already show */
  views: readonly PhotoView[];
  tiles: number;
  paper: PaperName;
  wanted?: ReportNextPhoto;
}

const choice = {
  /** frames at most: twice what a long walk takes */
  most: 24,
  /** what a tilted frame is worth while there is none, in columns of the mat; and the one the last check asked for */
  tilted: 6,
  wanted: 12,
  /** pixels of blur that halve a frame's worth against a perfect one */
  blur: 0.8,
} as const;

/**
 * The frames that make a walk, as places in `frames`, in their order: again and again the one that adds most of what is
 * still asked for, a sharp one before a soft one, each from a place of its own. Ends when nothing more is asked for or
 * no frame gives it.
 */
export function chooseFrames(frames: readonly VideoFrame[], { views, tiles, paper, wanted }: ChosenFor): number[] {
  const chosen: number[] = [];
  while (chosen.length < choice.most) {
    const so = [...views, ...chosen.map((i) => frames[i]!.view)];
    const open = wanted && so.slice(views.length).every((view) => stillToDo(view, wanted, paper)) ? wanted : undefined;
    const next = nextPhoto(so, tiles, open);
    if (next.kind === 'enough') break;
    const worth = frames.map(({ view, blur }) => {
      if (!isApart(view, so)) return 0;
      const asked =
        columnsAdded(view, so, tiles) +
        (isTilted(view) && !so.some(isTilted) ? choice.tilted : 0) +
        (open && !stillToDo(view, open, paper) ? choice.wanted : 0) +
        (next.kind === 'more' ? Math.min(1, ...so.map((other) => parallax(view, other))) : 0);
      return asked / (1 + ((blur ?? choice.blur) / choice.blur) ** 2);
    });
    const best = worth.indexOf(Math.max(...worth));
    if (best < 0 || worth[best] === 0) break;
    chosen.push(best);
  }
  return chosen.toSorted((a, b) => a - b);
}

/** The nearest frame of the same video before or after one, leaving out those that are `taken`. */
export function frameNear(
  frames: readonly VideoFrame[],
  from: number,
  way: 'earlier' | 'later',
  taken: ReadonlySet<number>,
): number | undefined {
  const step = way === 'later' ? 1 : -1;
  for (let i = from + step; frames[i]?.video === frames[from]!.video; i += step) if (!taken.has(i)) return i;
  return undefined;
}

/** "walk-0m04.2s.jpg": a frame's name as a photo. */
export function frameName(video: string, at: number): string {
  const tenths = Math.round(at * 10);
  const seconds = String(Math.floor(tenths / 10) % 60).padStart(2, '0');
  return `${video.replace(/\.[^.]*$/, '')}-${Math.floor(tenths / 600)}m${seconds}.${tenths % 10}s.jpg`;
}

/** "1:04.2": where in a video a frame is. */
export function frameTime(at: number): string {
  const tenths = Math.round(at * 10);
  return `${Math.floor(tenths / 600)}:${String(Math.floor(tenths / 10) % 60).padStart(2, '0')}.${tenths % 10}`;
}
