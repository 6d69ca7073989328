import { type RefObject, useMemo, useRef, useState } from 'react';
import { nextPhoto } from '../coverage/next_photo.ts';
import { guidesOverMat } from '../coverage/guides_over_mat.ts';
import { goodViews, usePhotos } from '../coverage/photo_entries.ts';
import { type PhotoView, photoView } from '../coverage/photo_view.ts';
import { useBuild } from '../session/app_context.tsx';
import { measuredSoFar } from '../session/step_needs.ts';
import type { FrameLook } from '../workers/tag_tasks.ts';
import { type CameraAdvice, cameraAdvice } from './camera_advice.ts';
import { adds, type Hold, held, isTaken } from './taking_by_itself.ts';
import { useFrames } from './use_frames.ts';
import { type Pictures, usePictures } from './use_pictures.ts';
import { useMeasuredAhead } from './walk_complete.ts';

/** What the camera sees, what that is good for, and the photos taken of it. */
export interface Walk {
  frame?: FrameLook;
  view?: PhotoView;
  advice?: CameraAdvice;
  /** whether frames are looked at: not while the last photo of the walk is, which needs all there is to measure with */
  following: boolean;
  /** whether a photo of what it sees now adds what is needed */
  adding: boolean;
  /** what stands in the way of following the mat */
  note?: string;
  /** what the photos show, those just taken with it */
  views: readonly PhotoView[];
  pictures: Pictures;
  /** a photo was taken since the camera was opened */
  begun: boolean;
  /** all is there, some of it taken since the camera was opened */
  complete: boolean;
}

const none: Pictures['pending'] = [];
/** Photos that may be waiting to be looked at before another one is taken by itself. */
const mostPending = 2;

/** Follows the camera along the rod; where `automatic`, takes what is needed as soon as the camera is held still. */
export function useWalk(
  stream: MediaStream | undefined,
  video: RefObject<HTMLVideoElement | null>,
  automatic: boolean,
  onFiles: (files: File[]) => Promise<string | undefined>,
): Walk {
  const build = useBuild();
  const { lengths } = build.history.present;
  const { photos, paper, tiles, wanted } = usePhotos();
  const pictures = usePictures(stream, video, paper, onFiles);
  const { pending, last } = pictures;
  const [before] = useState(photos.length);
  const hold = useRef<Hold>(undefined);

  const views = useMemo(() => [...goodViews(photos), ...pending.map(({ view }) => view)], [photos, pending]);
  const next = nextPhoto(views, tiles, wanted);
  const soFar = measuredSoFar(build);
  const guides = useMemo(() => soFar && guidesOverMat(soFar.plan, soFar, paper), [soFar, paper]);
  const looking = photos.some(({ state }) => state.kind === 'waiting' || state.kind === 'looking');
  const judged = (seen: FrameLook) => {
    const view = photoView(seen, paper);
    const advice = cameraAdvice(seen, view, next, { paper, lengths, guides });
    return { view, advice, adding: adds(view, advice, { views, tiles, next }) };
  };
  const onFrame = (seen: FrameLook, at: number) => {
    const { view, adding } = judged(seen);
    hold.current = held(hold.current, seen, at / 1000, adding);
    const free = last?.kind !== 'taking' && !looking && pending.length < mostPending && !pictures.rests();
    if (!automatic || !free || !isTaken(hold.current)) return;
    hold.current = undefined;
    void pictures.takeItself(view, views);
  };
  const allTaken = automatic && next.kind === 'enough' && photos.length + pending.length > before;
  const { frame, note } = useFrames(stream, video, onFrame, !allTaken);
  useMeasuredAhead(allTaken ? pending : none);

  return {
    ...(frame ? { frame, ...judged(frame) } : { adding: false }),
    ...(note !== undefined && { note }),
    following: !allTaken,
    views,
    pictures,
    begun: photos.length + pending.length > before,
    complete: next.kind === 'enough' && photos.length > before && pending.length === 0 && !looking,
  };
}
