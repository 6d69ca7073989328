import type { KeptCheck } from '../../store/build.ts';
import type { ActionContext } from './action_context.ts';
import { askedCheck, type ComingPhotos } from './asked_check.ts';
import type { CheckUnderWay } from './check_under_way.ts';
import type { AppState, OpenBuild } from './state.ts';
import { canCheck } from './step_needs.ts';

/** Measures photos as they come in; the check itself then goes on from there, or shares what is under way. */
export function makeMeasuringSoFar(context: ActionContext, underWay: CheckUnderWay) {
  const { dispatch, state } = context;
  const answer = answering(context, underWay);
  let measuring = false;
  /** photos came in that what is being measured lacks; they wait, so that the rod fills even where it is slow */
  let more = false;
  /** ids of photos that are measured with the others before they have come in */
  let ahead: readonly string[] = [];
  const isAhead = () => {
    const photos = state().build?.history.present.shoot.photos ?? [];
    return ahead.some((id) => photos.every((photo) => photo.id !== id));
  };
  const measure = async () => {
    if (measuring) return;
    measuring = true;
    while (more && !isAhead()) {
      more = false;
      const soFar = await answer();
      if (soFar) dispatch({ type: 'measured-so-far', soFar });
    }
    measuring = false;
  };

  return {
    /** Measures what came into a build that is open; not the photos of one that is only opened. */
    followPhotos: (before: OpenBuild | undefined, after: OpenBuild | undefined) => {
      if (before?.kept.id !== after?.kept.id) {
        ahead = [];
        if (isFree(state())) underWay.leave();
      } else if (before && after && hasMorePhotos(before, after)) {
        more = true;
        void measure();
      }
    },
    /**
     * Measures what the photos in hand will tell with those that are coming, in place of what is being measured; with
     * none any more, what did not come in is left.
     */
    measureAhead: async (coming: ComingPhotos) => {
      const left = isAhead();
      ahead = coming.map(({ id }) => id);
      // once they are in the same is asked again, and shares the answer
      if (coming.length > 0) await answer(coming, isAhead);
      else if (left) {
        underWay.leave();
        await measure();
      }
    },
    /** All photos are there: where fewer are being measured these are left for all of them. */
    measureAll: () => {
      if (more) underWay.leave();
    },
  };
}

const isFree = ({ run }: AppState): boolean => run?.kind !== 'running';

/** Asks what the photos in hand tell with those that are coming, unless that is no longer wanted. */
const answering =
  ({ state, services }: ActionContext, underWay: CheckUnderWay) =>
  async (coming: ComingPhotos = [], isWanted = () => true): Promise<KeptCheck | undefined> => {
    const { build } = state();
    if (!build || !isFree(state()) || !canCheck(build.history.present)) return undefined;
    try {
      const asked = await askedCheck(await services, build, coming);
      return isFree(state()) && isWanted() ? asked.answered(await underWay.ask(asked)) : undefined;
    } catch {
      // Too little shows yet, or it was left: what is wrong is said by the check that is asked for in the end.
      return undefined;
    }
  };

/** Whether photos came into the shoot in hand. */
function hasMorePhotos(before: OpenBuild, after: OpenBuild): boolean {
  const [was, is] = [before.history.present.shoot, after.history.present.shoot];
  return was !== is && was.id === is.id && is.photos.some(({ id }) => was.photos.every((photo) => photo.id !== id));
}
