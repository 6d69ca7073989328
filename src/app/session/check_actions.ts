import { guidesAreOn } from '../../plan/shoot.ts';
import type { Dispatch } from 'react';
import { plannedByHand } from '../../plan/planned_by_hand.ts';
import type { KeptCheck } from '../../store/build.ts';
import { isOutOfSpace } from '../../store/space.ts';
import { InputError } from '../../plan/input_error.ts';
import { checkBridge } from '../workers/bridges.ts';
import { markRunning } from './interrupted.ts';
import { newId } from '../files/new_build.ts';
import type { Services } from './services.ts';
import type { Action, AppState } from './state.ts';
import { checkWords } from '../words/check_words.ts';
import { problemWords } from '../words/problem_words.ts';

export const reason = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** Running the check of the open build's plan and photos, and stopping it. */
export function makeCheckActions(dispatch: Dispatch<Action>, state: () => AppState, services: Promise<Services>) {
  let stopCheck: AbortController | undefined;

  const runCheck = async () => {
    const build = state().build;
    if (!build || state().run?.kind === 'running') return;
    const { shelf, tabs } = await services;
    const buildId = build.kept.id;
    const { plan, shoot } = build.history.present;
    const { id: _, photos: entries, ...readings } = shoot;
    const asked = { ...readings, photos: entries.map((entry) => entry.name) };
    const controller = new AbortController();
    stopCheck = controller;
    const ended = markRunning(buildId);
    dispatch({ type: 'run', run: { kind: 'running', buildId, stage: checkWords.starting, done: 0 } });
    try {
      const photos = await Promise.all(
        entries.map(async (entry) => {
          const file = await shelf.photoFile(entry.id);
          if (!file) throw new InputError(problemWords.photoLost(entry.name));
          return { name: entry.name, file };
        }),
      );
      const marks = guidesAreOn(shoot.stage) && build.checks.find(({ report }) => report.stage === 'marks');
      const request = {
        plan,
        shoot: plannedByHand(plan, asked),
        photos,
        base: document.baseURI,
        ...(marks ? { earlierMarks: marks.report } : {}),
      };
      const answer = await checkBridge.ask('check', request, {
        signal: controller.signal,
        onProgress: ({ stage, done }) => dispatch({ type: 'run', run: { kind: 'running', buildId, stage, done } }),
      });
      const check: KeptCheck = {
        id: newId(),
        buildId,
        at: new Date().toISOString(),
        plan,
        shoot: asked,
        photoIds: Object.fromEntries(entries.map((entry) => [entry.name, entry.id])),
        ...answer,
      };
      dispatch({ type: 'check-kept', check });
      dispatch({ type: 'run', run: undefined });
      await shelf.keepCheck(check).catch((error: unknown) => {
        dispatch({
          type: 'save',
          buildId,
          save: isOutOfSpace(error) ? { kind: 'out-of-space' } : { kind: 'failed', message: reason(error) },
        });
      });
      tabs.tell(buildId, build.kept.revision);
    } catch (error) {
      if (controller.signal.aborted) dispatch({ type: 'run', run: { kind: 'stopped', buildId } });
      else {
        const ours = error instanceof InputError;
        const message = ours ? error.message : problemWords.checkFault(reason(error));
        dispatch({ type: 'run', run: { kind: 'failed', buildId, message } });
      }
    } finally {
      ended();
    }
  };

  return {
    runCheck,
    stopCheck: () => stopCheck?.abort(new Error(checkWords.stopped)),
  };
}
