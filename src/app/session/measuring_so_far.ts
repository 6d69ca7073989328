import type { ActionContext } from './action_context.ts';
import { askedCheck } from './asked_check.ts';
import type { CheckUnderWay } from './check_under_way.ts';
import type { OpenBuild } from './state.ts';
import { canCheck } from './step_needs.ts';

/** Measures photos as they come in; the check itself then goes on from there, or shares what is under way. */
export function makeMeasuringSoFar({ dispatch, state, services }: ActionContext, underWay: CheckUnderWay) {
  let measuring = false;
  /** photos came in that what is being measured lacks; they wait, so that the rod fills even where it is slow */
  let more = false;

  const measureOnce = async () => {
    const build = state().build;
    const isFree = () => state().run?.kind !== 'running';
    if (!build || !isFree() || !canCheck(build.history.present)) return;
    try {
      const asked = await askedCheck(await services, build);
      if (!isFree()) return;
      dispatch({ type: 'measured-so-far', soFar: asked.answered(await underWay.ask(asked)) });
    } catch {
      // Too little shows yet, or it was left: what is wrong is said by the check that is asked for in the end.
    }
  };

  const measure = async () => {
    more = true;
    if (measuring) return;
    measuring = true;
    while (more) {
      more = false;
      await measureOnce();
    }
    measuring = false;
  };

  return {
    /** Measures what came into a build that is open; not the photos of one that is only opened. */
    followPhotos: (before: OpenBuild | undefined, after: OpenBuild | undefined) => {
      if (before?.kept.id !== after?.kept.id) {
        if (state().run?.kind !== 'running') underWay.leave();
      } else if (before && after && hasMorePhotos(before, after)) void measure();
    },
    /** All photos are there: where fewer are being measured these are left for all of them. */
    measureAll: () => {
      if (more) underWay.leave();
    },
  };
}

/** Whether photos came into the shoot in hand. */
function hasMorePhotos(before: OpenBuild, after: OpenBuild): boolean {
  const [was, is] = [before.history.present.shoot, after.history.present.shoot];
  return was !== is && was.id === is.id && is.photos.some(({ id }) => was.photos.every((photo) => photo.id !== id));
}
