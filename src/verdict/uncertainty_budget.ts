import type { Stage } from '../plan/shoot.ts';
import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import type { UncertaintyParts } from './report.ts';
import { coverageFactor } from './decision.ts';
import { doubtDigits } from './wording.ts';

export interface BudgetLine {
  part: keyof UncertaintyParts;
  /** in plain words */
  name: string;
  /** what this part alone would leave as doubt, mm (k = 2) */
  expanded: number;
  /** of the whole variance, 0 to 1 */
  share: number;
}

const names = (stage: Stage): Record<keyof UncertaintyParts, string> => ({
  scale: 'the tape and rule that set the scale',
  geometry: 'the camera and the mat',
  reading: stage === 'marks' ? 'reading the mark in the photos' : 'reading the ring in the photos',
  tip: 'where the tip ends',
});

/** Where the doubt of one place comes from, largest part first; parts add in squares (JCGM 100:2008, 5.1.2). */
export function uncertaintyBudget(parts: UncertaintyParts, stage: Stage): BudgetLine[] {
  const keys: (keyof UncertaintyParts)[] = ['scale', 'geometry', 'reading', 'tip'];
  const variance = keys.reduce((sum, part) => sum + parts[part] ** 2, 0);
  return keys
    .map((part) => ({
      part,
      name: names(stage)[part],
      expanded: coverageFactor * parts[part],
      share: variance > 0 ? parts[part] ** 2 / variance : 0,
    }))
    .toSorted((a, b) => b.share - a.share);
}

/** The budget as one sentence, in the builder's unit. */
export function budgetSentence(parts: UncertaintyParts, stage: Stage, display: LengthDisplay): string {
  const lines = uncertaintyBudget(parts, stage);
  const whole = Math.hypot(...lines.map((line) => line.expanded));
  const unit = display === 'mm' ? 'mm' : 'in';
  const [first, second] = lines;
  if (!first || whole === 0) return 'Where the doubt comes from is not known.';
  const most = first.share > 0.5 ? 'Most of it is' : 'The largest part is';
  const rest = second && second.share > 0.05 ? `, then ${second.name}` : '';
  return `Give or take ${doubtDigits(whole, display)} ${unit}. ${most} ${first.name}${rest}.`;
}
