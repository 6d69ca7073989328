import { type RefObject, useEffect, useRef, useState } from 'react';
import type { PaperName } from '../../mat/tile.ts';
import { newId } from '../../store/new_id.ts';
import { judgePhoto } from '../coverage/photo_judgement.ts';
import { photoLooks } from '../coverage/photo_looks.ts';
import { type PhotoView, photoView } from '../coverage/photo_view.ts';
import { useApp } from '../session/app_context.tsx';
import { tagBridge } from '../workers/bridges.ts';
import type { PhotoLook } from '../workers/tag_tasks.ts';
import { photoWords } from '../words/photo_words.ts';
import { takePicture } from './camera_still.ts';
import { sound } from './taken_sound.ts';
import { isApart } from './taking_by_itself.ts';

/** How the last photo fares: being taken, taken, or not kept and why. */
export type LastTaken = { kind: 'taking' } | { kind: 'taken' } | { kind: 'failed'; why: string };

/** A photo that is being looked at before it is kept. */
export interface PendingPicture {
  id: string;
  file: File;
  view: PhotoView;
}

/** Photos taken through the camera view. */
export interface Pictures {
  last?: LastTaken;
  /** those that were taken by themselves and are not in the shoot yet, with what they seem to show */
  pending: readonly PendingPicture[];
  takeByHand: () => Promise<void>;
  /** takes one of what `seen` shows, looks at it, and keeps it where it will do beside the others */
  takeItself: (seen: PhotoView, others: readonly PhotoView[]) => Promise<void>;
  bring: (files: File[]) => Promise<void>;
  /** after one that was not kept the hand has a moment */
  rests: () => boolean;
}

/** How long that moment is, ms. */
const rest = 1500;
/** How long it is said that a photo was taken, ms. */
const said = 2500;

export function usePictures(
  stream: MediaStream | undefined,
  video: RefObject<HTMLVideoElement | null>,
  paper: PaperName,
  onFiles: (files: File[]) => Promise<string | undefined>,
): Pictures {
  const { actions } = useApp();
  const [pending, setPending] = useState<PendingPicture[]>([]);
  const { last, setLast, fail, rests } = useLastTaken();
  const picture = async (): Promise<File | undefined> => {
    if (!stream || !video.current) return undefined;
    setLast({ kind: 'taking' });
    const file = await takePicture(stream, video.current).catch(() => undefined);
    if (file) sound('taken');
    else fail(photoWords.camera.stillFailed);
    return file;
  };
  const bring = async (files: File[]) => {
    const why = await onFiles(files);
    if (why === undefined) setLast({ kind: 'taken' });
    else fail(why);
  };
  const takeByHand = async () => {
    const file = await picture();
    if (file) await bring([file]);
  };
  const takeItself = async (seen: PhotoView, others: readonly PhotoView[]) => {
    const file = await picture();
    if (!file) return;
    const id = newId();
    setPending((all) => [...all, { id, file, view: seen }]);
    setLast({ kind: 'taken' });
    const look = await tagBridge
      .ask('photo', { name: file.name, file, base: document.baseURI })
      // what can't be looked at here is kept: the check will try it again
      .catch(() => undefined);
    const why = look && whyNotKept(look, photoView(look, paper), others);
    if (why !== undefined) fail(photoWords.camera.notKept(why));
    else {
      if (look) photoLooks.remember(id, look);
      await actions.addPhotos([file], [id]);
    }
    setPending((all) => all.filter((own) => own.id !== id));
  };

  return {
    ...(last && { last }),
    pending,
    takeByHand,
    takeItself,
    bring,
    rests,
  };
}

/** How the last photo fares, said for a while where it was taken, and till the next one where it was not. */
function useLastTaken() {
  const [last, setLast] = useState<LastTaken>();
  const restsUntil = useRef(0);
  useEffect(() => {
    if (last?.kind !== 'taken') return;
    const over = setTimeout(() => setLast(undefined), said);
    return () => clearTimeout(over);
  }, [last]);
  const fail = (why: string) => {
    sound('not-kept');
    restsUntil.current = performance.now() + rest;
    setLast({ kind: 'failed', why });
  };
  return { last, setLast, fail, rests: () => performance.now() < restsUntil.current };
}

/** Why a photo that was taken by itself is taken again rather than kept. */
function whyNotKept(look: PhotoLook, view: PhotoView, others: readonly PhotoView[]): string | undefined {
  const { mark, reasons } = judgePhoto(look, view, undefined);
  const blurred = look.quality?.problems.find(({ kind }) => kind === 'blurred' || kind === 'moved');
  if (mark === 'unusable' || blurred) return blurred?.message ?? reasons[0];
  return isApart(view, others) ? undefined : photoWords.camera.movedOn;
}
