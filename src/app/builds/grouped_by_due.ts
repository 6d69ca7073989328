import { type BuildSummary, type Due, dues } from '../../store/build.ts';

/** The builds that wait for one thing; without one, those that can't be read. */
export interface DueGroup {
  due?: Due;
  builds: BuildSummary[];
}

/** Builds by what they wait for, the most pressing first; in a group as they came. Empty groups are left out. */
export function groupedByDue(builds: readonly BuildSummary[]): DueGroup[] {
  const groups: DueGroup[] = [
    ...dues.map((due) => ({ due, builds: builds.filter((build) => build.due === due) })),
    { builds: builds.filter((build) => build.due === undefined) },
  ];
  return groups.filter((group) => group.builds.length > 0);
}
