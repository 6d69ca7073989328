import type { BuildDocument, Due, KeptCheck } from './build.ts';
import { isCurrent } from './is_current.ts';

/**
 * What a build waits for: something is to move; to be checked (photos are there or asked for, or the marks are in place
 * and the guides come next); to be marked; to be planned; or all is ready.
 */
export function dueOf(document: BuildDocument, last: KeptCheck | undefined): Due {
  if (last && isCurrent(last, document)) {
    const { verdict, stage } = last.report;
    if (verdict === 'fix') return 'move';
    if (verdict === 'ready' && stage === 'blank') return document.plan.positions.length === 0 ? 'plan' : 'mark';
    return verdict === 'ready' && (stage === 'rings' || stage === 'wrapped') ? 'ready' : 'check';
  }
  if (document.plan.positions.length === 0) return 'plan';
  return last || document.shoot.photos.length > 0 ? 'check' : 'mark';
}
