import { printedScale } from '../../mat/readings.ts';
import type { BuildDocument, KeptCheck } from '../../store/build.ts';
import type { Plan } from '../../plan/plan.ts';
import { isCurrent, isOfSome } from '../../store/is_current.ts';
import { pieceInHand, planInHand } from '../../store/plan_in_hand.ts';
import { type Step, steps } from '../route/place.ts';
import { unreadFields } from '../edits/plan_edits.ts';
import type { OpenBuild } from './state.ts';
import { buildsWords } from '../words/builds_words.ts';
import { needWords } from '../words/needs_words.ts';

/** How far a step is, and the one thing it needs next, in words. */
export interface StepState {
  state: 'done' | 'next' | 'open' | 'blocked';
  needs: string;
}

/** The last check, when it speaks of what is now planned and photographed. */
export function currentCheck(build: OpenBuild): KeptCheck | undefined {
  const last = build.checks[0];
  return last && isCurrent(last, build.history.present) ? last : undefined;
}

/** What the photos told that came in since the last check, while it speaks of what is now planned. */
export function measuredSoFar(build: OpenBuild): KeptCheck | undefined {
  const { soFar, history } = build;
  return soFar && !currentCheck(build) && isOfSome(soFar, history.present) ? soFar : undefined;
}

/** What the ribbon shows: a plan, with what a check says of it or what is measured so far. */
export interface ShownOnRibbon {
  plan: Plan;
  check?: KeptCheck | undefined;
  soFar?: KeptCheck | undefined;
}

/** What the ribbon shows at a step: on the plan the whole rod, elsewhere what lies on the mat, with its check. */
export function shownOnRibbon(build: OpenBuild, step: Step): ShownOnRibbon {
  const document = build.history.present;
  if (step === 'plan' && pieceInHand(document) !== undefined) return { plan: document.plan };
  return { plan: planInHand(document), check: currentCheck(build), soFar: measuredSoFar(build) };
}

export function canCheck(document: BuildDocument): boolean {
  const { shoot } = document;
  const plan = planInHand(document);
  // a plan that still has what stood in a field before is not the one the builder means
  const planned = shoot.stage === 'blank' || plan.positions.length > 0;
  return planned && hasBlank(plan) && shoot.photos.length > 0 && unreadFields(document).length === 0;
}

const hasBlank = ({ blank }: BuildDocument['plan']): boolean =>
  blank.length > 0 && blank.tipDiameter > 0 && blank.buttDiameter > 0;

/** Where each step stands; at most one is next, the first that isn't done. */
export function stepStates(
  document: BuildDocument,
  lastCheck: KeptCheck | undefined,
  running: boolean,
): Record<Step, StepState> {
  const { plan, shoot } = document;
  const guides = plan.positions.filter((position) => position.kind === 'guide').length;
  const count = shoot.photos.length;
  const unread = unreadFields(document).length;
  const { span } = shoot.mat;
  const printed = printedScale(shoot.mat, true) !== undefined && printedScale(shoot.mat, false) !== undefined;
  const needs = needWords;
  const current = lastCheck !== undefined && isCurrent(lastCheck, document);
  const bare = shoot.stage === 'blank';
  const states: Record<Step, StepState> = {
    plan: bare
      ? barePlan(document, unread)
      : plan.positions.length === 0
        ? { state: 'next', needs: needs.planEmpty }
        : unread > 0
          ? { state: 'next', needs: needs.planUnread(unread) }
          : !hasBlank(plan)
            ? { state: 'next', needs: needs.planBlank }
            : { state: 'done', needs: needs.planDone(guides) },
    mat: !printed
      ? { state: 'next', needs: needs.matPlain }
      : span
        ? { state: 'done', needs: needs.matDone }
        : { state: 'open', needs: needs.matBars },
    photos:
      count === 0
        ? { state: 'next', needs: needs.photosEmpty }
        : count === 1
          ? { state: 'open', needs: needs.photosOne }
          : { state: count < 4 ? 'open' : 'done', needs: count < 4 ? needs.photosFew(count) : needs.photosDone(count) },
    check: running
      ? { state: 'next', needs: needs.checkRunning }
      : !canCheck(document)
        ? {
            state: 'blocked',
            needs: unread > 0 ? needs.planUnread(unread) : bare ? needs.checkBlankBlocked : needs.checkBlocked,
          }
        : lastCheck && !current
          ? { state: 'next', needs: needs.checkStale }
          : lastCheck
            ? { state: 'done', needs: checkedWords(lastCheck) }
            : { state: 'next', needs: needs.checkReady },
    record: !lastCheck
      ? { state: 'blocked', needs: needs.recordBlocked }
      : { state: current ? 'next' : 'open', needs: current ? needs.recordReady : needs.checkStale },
  };
  const next = steps.find((step) => states[step].state === 'next');
  for (const step of steps)
    if (step !== next && states[step].state === 'next') states[step] = { ...states[step], state: 'open' };
  return states;
}

/** A bare blank is measured before places are planned: what stands in the plan must be read, and say its rough size. */
function barePlan({ plan }: BuildDocument, unread: number): StepState {
  const guides = plan.positions.filter((position) => position.kind === 'guide').length;
  if (unread > 0) return { state: 'next', needs: needWords.planUnread(unread) };
  if (!hasBlank(plan)) return { state: 'next', needs: needWords.planRough };
  return { state: 'done', needs: guides > 0 ? needWords.planDone(guides) : needWords.planBare };
}

const checkedWords = ({ report }: KeptCheck): string =>
  report.stage === 'blank' && report.verdict === 'ready'
    ? needWords.checkMeasured
    : buildsWords.verdict[report.verdict];
