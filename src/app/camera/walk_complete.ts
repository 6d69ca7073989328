import { useEffect, useRef } from 'react';
import type { BuildDocument } from '../../store/build.ts';
import { goTo } from '../route/use_place.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { canCheck, stepStates } from '../session/step_needs.ts';
import { photoWords } from '../words/photo_words.ts';
import { sound } from './taken_sound.ts';
import type { PendingPicture } from './use_pictures.ts';

/** How long the end of the walk stands on the screen before the check begins, ms: long enough to read. */
const toRead = 1500;

/**
 * Once the walk is complete: a sound, and where the build can be checked, on to the check, which is under way by then.
 */
export function useComplete(complete: boolean, close: () => void): void {
  const { actions } = useApp();
  const { kept, history } = useBuild();
  const ready = canCheck(history.present);
  const goOn = useRef<() => void>(undefined);
  useEffect(() => {
    goOn.current = () => {
      close();
      goTo({ screen: 'build', id: kept.id, step: 'check' });
      void actions.runCheck();
    };
  });
  useEffect(() => {
    if (!complete) return;
    sound('complete');
    if (!ready) return;
    actions.measureAll();
    const begin = setTimeout(() => goOn.current?.(), toRead);
    return () => clearTimeout(begin);
  }, [complete, ready, actions]);
}

/**
 * The photos with which the walk is complete, measured with the others while they are still being looked at: most are
 * kept.
 */
export function useMeasuredAhead(pending: readonly PendingPicture[]): void {
  const { actions } = useApp();
  useEffect(() => void actions.measureAhead(pending), [pending, actions]);
  useEffect(() => () => void actions.measureAhead([]), [actions]);
}

/** That the walk is complete, and what comes now. */
export const completeWords = (document: BuildDocument, count: number): string =>
  canCheck(document)
    ? photoWords.camera.complete(count)
    : photoWords.camera.completeOnly(count, stepStates(document, undefined, false).check.needs);
