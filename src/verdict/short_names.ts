import { withShownNames } from '../plan/shown_name.ts';
import type { Report } from './report.ts';

/** A report whose sentences show no more of the plan's names than a sentence may echo; its items keep them in full. */
export function withShortNames(report: Report): Report {
  const names = report.items.map(({ id }) => id);
  const said = (sentence: string) => withShownNames(sentence, names);
  const spoken = <T extends { cause?: string; advice?: string }>(told: T): T => ({
    ...told,
    ...(told.cause !== undefined && { cause: said(told.cause) }),
    ...(told.advice !== undefined && { advice: said(told.advice) }),
  });
  return {
    ...report,
    items: report.items.map(spoken),
    extras: report.extras.map(spoken),
    notes: report.notes.map(said),
    ...(report.tipTop && { tipTop: spoken(report.tipTop) }),
  };
}
