import type { FirstCheck } from '../verdict/habits.ts';
import type { KeptCheck } from './build.ts';

/**
 * Of a build's checks those that show the rod as it was first set: for marks and for rings, the last check of the first
 * round of photos (the one that knows most about it).
 */
export function firstChecks(checks: readonly KeptCheck[]): FirstCheck[] {
  const inTime = checks.toSorted((a, b) => a.at.localeCompare(b.at));
  return (['marks', 'rings'] as const).flatMap((stage) => {
    const ofStage = inTime.filter(({ report }) => report.stage === stage);
    const photos = new Set(Object.values(ofStage[0]?.photoIds ?? {}));
    const check = ofStage.findLast(({ photoIds }) => Object.values(photoIds).some((id) => photos.has(id)));
    return check ? [{ report: check.report, rollFromOutside: check.shoot.rollReference !== 'guides' }] : [];
  });
}
