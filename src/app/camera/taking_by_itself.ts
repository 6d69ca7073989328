import type { Pixel } from '../../geometry/vector.ts';
import type { SeenTag } from '../../photo/edge_blur.ts';
import { isTilted, type NextPhoto } from '../coverage/next_photo.ts';
import { columnCounts, missing } from '../coverage/photo_coverage.ts';
import type { PhotoView } from '../coverage/photo_view.ts';
import type { FrameLook } from '../workers/tag_tasks.ts';
import type { CameraAdvice } from './camera_advice.ts';

/** When the camera takes a photo by itself; common practice with a phone in the hand, no source. */
export const takingByItself = {
  /**
   * how fast the picture may move over the paper, mm a second: in 1/60 s that smears a 12-megapixel photo by 1.4 pixels
   */
  stillSpeed: 25,
  /** for how long it must be so, seconds, and in how many frames at least */
  stillFor: 0.4,
  stillFrames: 2,
  /** a hand is not followed over a longer gap between two frames, seconds; a slow phone reads one in a second or two */
  longestGap: 3,
  /** how far from every photo so far, in heights over the mat: nearer by, two photos show the same from one place */
  apart: 0.1,
  /** the same for a photo that was not asked for but adds at least so many columns on the way */
  apartOnTheWay: 0.3,
  columnsOnTheWay: 6,
} as const;

/** What the photos have and still need, as a frame is held against it. */
export interface WalkSoFar {
  /** of the photos that will do, in the order they were taken */
  views: readonly PhotoView[];
  tiles: number;
  next: NextPhoto;
}

/**
 * Whether a photo of what this frame shows adds what is needed: it is the one that was asked for, or shows much on the
 * way that too few photos show; and it was taken from a place of its own.
 */
export function adds(view: PhotoView, advice: CameraAdvice, { views, tiles, next }: WalkSoFar): boolean {
  if (advice.spoilt || next.kind === 'enough') return false;
  if (advice.take) return isApart(view, views);
  if (next.kind === 'stretch' && next.tilted && !isTilted(view)) return false;
  const { apartOnTheWay, columnsOnTheWay } = takingByItself;
  return (
    views.every((other) => parallax(view, other) >= apartOnTheWay) &&
    columnsAdded(view, views, tiles) >= columnsOnTheWay
  );
}

/** How many columns a photo would show that too few photos show so far. */
export function columnsAdded({ columns }: PhotoView, views: readonly PhotoView[], tiles: number): number {
  if (!columns) return 0;
  return missing(columnCounts(views, tiles))
    .slice(columns.from, columns.to + 1)
    .filter((lacking) => lacking > 0).length;
}

/**
 * How far two camera places lie apart over the mat, in their mean height; infinite where one is not known. Their
 * heights are left out: a frame of a video is often cut from what the lens sees, and then looks higher than a photo.
 */
export function parallax(one: PhotoView, other: PhotoView): number {
  const [a, b] = [placeOver(one), placeOver(other)];
  if (!a || !b) return Number.POSITIVE_INFINITY;
  return Math.hypot(a.along - b.along, a.across - b.across) / ((a.height + b.height) / 2);
}

function placeOver({ along, tilt, height }: PhotoView) {
  if (along === undefined || tilt === undefined || height === undefined) return undefined;
  return { along, across: height * Math.tan((tilt * Math.PI) / 180), height };
}

/**
 * Whether a photo was taken from a place of its own: where the phone moved on while it was taken it may not have been.
 */
export const isApart = (view: PhotoView, views: readonly PhotoView[]): boolean =>
  views.every((other) => parallax(view, other) >= takingByItself.apart);

/** How long the camera has been held still over what adds something. */
export interface Hold {
  frame: FrameLook;
  /** of the last frame, seconds */
  at: number;
  /** since when, seconds, and in how many frames; none where it moves or adds nothing */
  since?: number;
  frames: number;
}

/** The hold with one more frame. @param added whether a photo of this frame adds what is needed */
export function held(before: Hold | undefined, frame: FrameLook, at: number, added: boolean): Hold {
  if (!added) return { frame, at, frames: 0 };
  const gap = before ? at - before.at : Number.POSITIVE_INFINITY;
  const speed = before && gap <= takingByItself.longestGap ? speedBetween(before.frame, frame, gap) : undefined;
  if (speed === undefined || speed > takingByItself.stillSpeed) return { frame, at, since: at, frames: 1 };
  return { frame, at, since: before?.since ?? at, frames: (before?.frames ?? 0) + 1 };
}

/** Whether the camera was held so long that the photo is taken. */
export const isTaken = ({ since, at, frames }: Hold): boolean =>
  since !== undefined && at - since >= takingByItself.stillFor && frames >= takingByItself.stillFrames;

/** How fast the picture moves over the paper, mm a second, by the corners two frames share; undefined without any. */
export function speedBetween(before: FrameLook, after: FrameLook, seconds: number): number | undefined {
  const moved = before.tags.flatMap((tag) => {
    const same = after.tags.find(({ id }) => id === tag.id);
    return same ? cornersMoved(tag, same) : [];
  });
  const { pixelsPerMm } = after.quality;
  if (moved.length === 0 || pixelsPerMm === undefined || seconds <= 0) return undefined;
  return moved.toSorted((a, b) => a - b)[Math.floor(moved.length / 2)]! / pixelsPerMm / seconds;
}

const cornersMoved = (one: SeenTag, other: SeenTag): number[] =>
  one.corners.map(([x, y]: Pixel, i) => Math.hypot(other.corners[i]![0] - x, other.corners[i]![1] - y));
