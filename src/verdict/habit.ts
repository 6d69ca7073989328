import type { LengthDisplay } from '../plan/length_text.ts';
import type { Report } from './report.ts';
import { differenceText, towardOf } from './wording.ts';

/** How far one rod's marks or rings stood from their places, mm, positive toward the butt. */
export interface RodOffsets {
  stage: 'marks' | 'rings';
  offsets: number[];
}

/** A mean over rods that is larger than its own doubt (95 %): mm, positive toward the butt. */
export interface Habit {
  stage: 'marks' | 'rings';
  mean: number;
  rods: number;
}

/** Beyond this an offset is a blunder with its own cause, not a habit; mm. */
const largestHabit = 3;
/** A habit smaller than this is not worth a word; mm. */
const smallestHabit = 0.2;
const fewestRods = 3;
const fewestPlaces = 4;

/** Student's t, two-sided 95 %, for 2 and more degrees of freedom (standard table); beyond it, the last one. */
const student = [4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.16, 2.145, 2.131];

/** A report's offsets as far as they can show a habit; undefined when there are too few. */
export function offsetsOf(report: Report): RodOffsets | undefined {
  const offsets = report.items
    .flatMap((item) => (item.along ? [item.along.value - item.planned] : []))
    .filter((offset) => Math.abs(offset) <= largestHabit);
  return offsets.length >= fewestPlaces ? { stage: report.stage, offsets } : undefined;
}

/**
 * What the builder does alike on rod after rod. Rods are compared, not places: the places of one rod share its tape, its
 * tip and its mat, so each rod counts once, with the mean of its offsets.
 */
export function findHabits(rods: readonly RodOffsets[]): Habit[] {
  return (['marks', 'rings'] as const).flatMap((stage) => {
    const means = rods.filter((rod) => rod.stage === stage).map((rod) => meanOf(rod.offsets));
    if (means.length < fewestRods) return [];
    const mean = meanOf(means);
    const variance = means.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (means.length - 1);
    const doubt = student[Math.min(means.length - 3, student.length - 1)]! * Math.sqrt(variance / means.length);
    return Math.abs(mean) > Math.max(doubt, smallestHabit) ? [{ stage, mean, rods: means.length }] : [];
  });
}

const meanOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

/** "Your marks sit 0.4 mm toward the butt on average, over 5 rods." */
export const habitSentence = ({ stage, mean, rods }: Habit, display: LengthDisplay): string =>
  `Your ${stage === 'marks' ? 'marks' : 'guides'} sit ${differenceText(Math.abs(mean), display)} ${towardOf(mean)} on average, over ${rods} rods.`;
