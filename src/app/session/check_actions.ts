import { InputError } from '../../plan/input_error.ts';
import { plannedByHand } from '../../plan/planned_by_hand.ts';
import { guidesAreOn, type Shoot } from '../../plan/shoot.ts';
import type { KeptCheck } from '../../store/build.ts';
import { newId } from '../../store/new_id.ts';
import { pieceInHand, planInHand } from '../../store/plan_in_hand.ts';
import { checkWords } from '../words/check_words.ts';
import { problemWords } from '../words/problem_words.ts';
import { checkBridge } from '../workers/bridges.ts';
import type { CheckAnswer } from '../workers/check_tasks.ts';
import { type ActionContext, asBuild } from './action_context.ts';
import { markRunning } from './interrupted.ts';
import { reason } from './reason.ts';
import type { OpenBuild } from './state.ts';

/** Running the check of the open build's plan and photos, and stopping it. */
export function makeCheckActions(context: ActionContext) {
  const { dispatch, state } = context;
  let stopCheck: AbortController | undefined;

  const runCheck = async () => {
    const build = state().build;
    if (!build || state().run?.kind === 'running') return;
    const buildId = build.kept.id;
    const controller = new AbortController();
    stopCheck = controller;
    const ended = markRunning(buildId);
    dispatch({ type: 'run', run: { kind: 'running', buildId, stage: checkWords.starting, done: 0 } });
    try {
      const check = await checkOf(context, build, controller.signal);
      dispatch({ type: 'check-kept', check });
      dispatch({ type: 'run', run: undefined });
      await keepCheck(context, check);
    } catch (error) {
      if (controller.signal.aborted) dispatch({ type: 'run', run: { kind: 'stopped', buildId } });
      else {
        const message = error instanceof InputError ? error.message : problemWords.checkFault(reason(error));
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

/** Checks a build as it stands. Throws InputError where a photo is not kept any more or the input can't be used. */
async function checkOf(
  { dispatch, services }: ActionContext,
  build: OpenBuild,
  signal: AbortSignal,
): Promise<KeptCheck> {
  const { shelf } = await services;
  const buildId = build.kept.id;
  const { shoot } = build.history.present;
  const plan = planInHand(build.history.present);
  const piece = pieceInHand(build.history.present);
  const { id: _, photos: entries, piece: __, ...readings } = shoot;
  const asked: Shoot = {
    ...readings,
    photos: entries.map((entry) => entry.name),
    ...(piece !== undefined && { piece }),
  };
  const photos = await Promise.all(
    entries.map(async (entry) => {
      const file = await shelf.photoFile(entry.id);
      if (!file) throw new InputError(problemWords.photoLost(entry.name));
      return { name: entry.name, file };
    }),
  );
  const keptMat = (await shelf.mats()).find(({ id }) => id === build.history.present.keptMat);
  const marks =
    guidesAreOn(shoot.stage) &&
    build.checks.find(({ report, shoot: own }) => report.stage === 'marks' && own.piece === piece);
  const request = {
    plan,
    shoot: plannedByHand(plan, asked),
    photos,
    lenses: (await shelf.lenses()).map(({ text }) => text),
    ...(keptMat && { mat: keptMat.text }),
    base: document.baseURI,
    ...(marks ? { earlierMarks: marks.report } : {}),
  };
  const answer: CheckAnswer = await checkBridge.ask('check', request, {
    signal,
    onProgress: ({ stage, done }) => dispatch({ type: 'run', run: { kind: 'running', buildId, stage, done } }),
  });
  return {
    id: newId(),
    buildId,
    at: new Date().toISOString(),
    plan,
    shoot: asked,
    photoIds: Object.fromEntries(entries.map((entry) => [entry.name, entry.id])),
    ...answer,
  };
}

async function keepCheck({ state, services }: ActionContext, check: KeptCheck): Promise<void> {
  const { shelf, saver, tabs } = await services;
  await shelf.keepCheck(check);
  const build = state().build;
  if (build?.kept.id !== check.buildId) return;
  saver.review(asBuild(build));
  tabs.tell(check.buildId, build.kept.revision);
}
