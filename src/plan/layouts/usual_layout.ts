import { InputError } from '../input_error.ts';
import { formatLength } from '../lengths/length_text.ts';
import type { Plan } from '../plan.ts';
import { type GrowthLayout, layOutByGrowth } from './growth_layout.ts';
import {
  type KindPractice,
  practiceWords,
  type RodKind,
  type SuggestedGuides,
  suggestGuides,
  usualReelPlace,
} from './rod_kind.ts';

/** Guides where rods of a kind usually have them; `reelAt` is taken from the reel seat when absent. */
export interface UsualSpec {
  kind: 'usual';
  rod: RodKind;
  reelAt?: number;
  practice: KindPractice;
}

type Rod = Omit<Plan, 'positions'>;

/** Count, first and last guide by the rules. Throws InputError where the rod is not known well enough. */
export function suggestedFor({ rod, reelAt, practice }: UsualSpec, plan: Rod): SuggestedGuides {
  if (plan.section && plan.section.startsAt > 0)
    throw new InputError('The usual places are those of a whole rod; leave "section" out, or give places of your own.');
  const reel = reelAt ?? usualReelPlace(rod, plan.blank.length, plan.fittings);
  if (reel === undefined)
    throw new InputError('layout, reelAt: is missing; give where the reel sits, or the reel seat under "fittings".');
  return suggestGuides(practice, { length: plan.blank.length, reelAt: reel });
}

/**
 * So many guides from the usual first place to the usual last one, each gap longer than the one before by the same
 * factor, with the rule in words and what it would have suggested. Throws InputError where gaps would have to shrink.
 */
export function layOutUsual(spec: UsualSpec, guides: number, plan: Rod): GrowthLayout & { notes: string[] } {
  const { first, last, guides: suggested } = suggestedFor(spec, plan);
  if (guides > 1 && first * guides > last)
    throw new InputError(
      `${guides} guides between ${formatLength(first, plan.unit)} and ${formatLength(last, plan.unit)} would leave gaps that shrink; take fewer, or another first place.`,
    );
  const laid = layOutByGrowth({
    growth: 'geometric',
    guides,
    last,
    ...(guides === 1 ? { ratio: 1 } : { firstGap: first }),
  });
  const other = guides === suggested ? [] : [`It suggests ${suggested} guides; this layout has ${guides}.`];
  return {
    ...laid,
    notes: [`${practiceWords(spec.rod, spec.practice, (mm) => formatLength(mm, plan.unit))}`, ...other],
  };
}
