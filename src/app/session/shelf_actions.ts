import type { NamedGuide } from '../../plan/files/guide_set.ts';
import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { LayoutResult } from '../../plan/layouts/layout.ts';
import type { LayoutSpec } from '../../plan/layouts/wanted_layout.ts';
import type { BuildSummary } from '../../store/build.ts';
import { firstChecks } from '../../store/first_checks.ts';
import { askToPersist } from '../../store/space.ts';
import { type Habit, habitsOf } from '../../verdict/habits.ts';
import { deskBridge } from '../workers/bridges.ts';
import { type ActionContext, asBuild } from './action_context.ts';

/** What is kept across builds, and the keeping itself. */
export function makeShelfActions({ dispatch, state, services, guarded, refreshList }: ActionContext) {
  /** says anew whether all of the open build is kept */
  const review = async () => {
    const { saver } = await services;
    const build = state().build;
    if (build) saver.review(asBuild(build));
  };
  return {
    /** Settles when everything changed so far is kept; call it before anything that may end the page. */
    flush: async () => (await services).saver.flush(),
    retrySaving: guarded(async () => {
      const { shelf, saver } = await services;
      const build = state().build;
      await shelf.retry();
      if (build) await saver.save(asBuild(build));
    }),
    askToPersist: guarded(async () => {
      await askToPersist();
      await refreshList();
    }),
    /** Takes up checks that another tab made of the open build. */
    readChecks: guarded(async (buildId: string) => {
      const { checks } = await (await services).shelf.checks(buildId);
      dispatch({ type: 'checks', buildId, checks });
    }),
    layOut: (spec: LayoutSpec): Promise<LayoutResult> => deskBridge.ask('layOut', spec),
    guides: async () => (await services).shelf.guides.all(),
    keepGuide: guarded(async (guide: NamedGuide) => {
      await (await services).shelf.guides.keep(guide);
      await review();
    }),
    removeGuide: guarded(async (name: string) => {
      await (await services).shelf.guides.remove(name);
      await review();
    }),
    /** What the builder's own rods have in common, and how the one changed last shows its lengths. */
    habits: async (builds: readonly BuildSummary[]): Promise<{ habits: Habit[]; lengths: LengthDisplay }> => {
      const { shelf } = await services;
      const own = builds.filter((build) => !build.sample && !build.damaged);
      const checks = await Promise.all(own.map(async ({ id }) => firstChecks((await shelf.checks(id)).checks)));
      const last = own[0] && (await shelf.load(own[0].id));
      return {
        habits: habitsOf(checks.flat()),
        lengths: (last && last !== 'damaged' && last.document.lengths) || 'mm',
      };
    },
  };
}
