import { InputError } from '../../plan/input_error.ts';
import type { KeptCheck } from '../../store/build.ts';
import { checkWords } from '../words/check_words.ts';
import { problemWords } from '../words/problem_words.ts';
import { type ActionContext, asBuild } from './action_context.ts';
import { askedCheck } from './asked_check.ts';
import { makeCheckUnderWay } from './check_under_way.ts';
import { markRunning } from './interrupted.ts';
import { makeMeasuringSoFar } from './measuring_so_far.ts';
import { reason } from '../../plan/reason.ts';

/** The pictures of a check before they are drawn. */
const notDrawn: KeptCheck['evidence'] = { photos: [], closeUps: [], rings: [] };

/** Running the check of the open build's plan and photos, and stopping it; measuring photos as they come in. */
export function makeCheckActions(context: ActionContext) {
  const { dispatch, state, services } = context;
  const underWay = makeCheckUnderWay();
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
      const asked = await askedCheck(await services, build);
      const answer = await underWay.ask(asked, {
        stop: controller.signal,
        onProgress: ({ stage, done, report }) => {
          const told = report && { answer: asked.answered({ report, evidence: notDrawn }) };
          dispatch({ type: 'run', run: { kind: 'running', buildId, stage, done, ...told } });
        },
      });
      const check = asked.answered(answer);
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
    ...makeMeasuringSoFar(context, underWay),
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
