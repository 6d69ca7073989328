import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import { expanded } from './expanded.ts';
import type { MeasuredShoot } from './measured_shoot.ts';
import type { ReportSlide, RodVerdict } from './report.ts';
import { differenceText, doubtDigits, towardOf } from './wording.ts';

export const reportSlides = (slides: MeasuredShoot['slides'] = []): ReportSlide[] =>
  slides.map(({ afterPhoto, along }) => ({
    afterPhoto,
    along: expanded(along),
  }));

/** A walk in which the rod slid finds faults, but signs nothing off: what moved once may have moved twice. */
export const verdictAfterSlides = (verdict: RodVerdict, slides: readonly ReportSlide[]): RodVerdict =>
  slides.length > 0 && verdict === 'ready' ? 'reshoot' : verdict;

/** What slid, by how much, and what to do about it. */
export function slideNote({ afterPhoto, along }: ReportSlide, display: LengthDisplay): string {
  const by = `${differenceText(along.value, display)} ${towardOf(along.value)}, give or take ${doubtDigits(along.expanded, display)}`;
  return `After ${afterPhoto} the rod slid ${by}; all places were counted back to where it lay for the tip. To sign the rod off, hold it with a weight or tape and take the walk again.`;
}
