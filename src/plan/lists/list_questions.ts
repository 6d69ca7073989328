import { longestRod } from '../files/longest_rod.ts';
import type { CommaUse } from './cells.ts';
import type { CountedFrom } from './headings.ts';
import type { RowPlace } from './list_rows.ts';

/** Answers to what a list leaves open. */
export interface ListChoices {
  comma?: CommaUse;
  from?: 'tip' | 'butt';
  numbers?: 'distances' | 'gaps';
}

/** A list that can be read in two ways: what is asked, and what each answer means. */
export type ListQuestion = {
  [About in keyof ListChoices]-?: { about: About; text: string; answers: Answer<About>[] };
}[keyof ListChoices];
interface Answer<About extends keyof ListChoices> {
  value: NonNullable<ListChoices[About]>;
  text: string;
}

/** Guides at least, before a list's shape says anything. */
const leastPlaces = 3;
/** Gaps grow or shrink along a list when one half's mean is this much larger than the other's. */
const clearly = 1.1;

const guidesOf = (places: readonly RowPlace[]): readonly RowPlace[] =>
  places.filter(({ kind, label }) =>
    kind === undefined ? !/keeper|wrap|ferrule/i.test(label ?? '') : kind === 'guide',
  );

/**
 * Which end the lines count from that do not say it themselves; `tip` unless the others or the shape of the list make
 * it doubtful. Gaps commonly grow toward the butt (common practice, no source), so a list whose gaps shrink toward the
 * butt when taken from the tip was likely measured from the butt.
 */
export function askFrom(places: readonly RowPlace[], asked: ListQuestion[]): CountedFrom {
  const silent = guidesOf(places).filter(({ from, gap }) => from === undefined && gap === undefined);
  if (silent.length === 0) return 'tip';
  const fromButt = places.filter(({ from }) => from === 'butt').length;
  const values = silent.map(({ mm }) => mm);
  const steps = values.slice(1).map((value, i) => value - values[i]!);
  const down = steps.every((step) => step < 0);
  const up = steps.every((step) => step > 0);
  const half = Math.floor(steps.length / 2);
  const mean = (part: readonly number[]) => Math.abs(part.reduce((sum, step) => sum + step, 0)) / part.length;
  const [start, end] = [mean(steps.slice(0, half || 1)), mean(steps.slice(-(half || 1)))];
  const shaped = values.length >= leastPlaces && ((down && start < clearly * end) || (up && start > clearly * end));
  if (fromButt === 0 && !shaped) return 'tip';
  asked.push({
    about: 'from',
    text:
      fromButt > 0
        ? 'Some lines count from the butt, others do not say: are those counted from the tip or from the butt?'
        : 'Are these distances counted from the tip or from the butt? Taken from the tip, the gaps would shrink toward the butt.',
    answers: [
      { value: 'tip', text: 'From the tip' },
      { value: 'butt', text: 'From the butt' },
    ],
  });
  return 'tip';
}

/** A list whose sum reaches this share of the blank, and whose last place does not, is likely one of gaps. */
const sumReaches = 0.4;
const lastReaches = 0.3;
/** Gaps differ little from one to the next: on average by less than this share of the first. */
const stepsReach = 0.5;

/**
 * Whether the figures are distances or the gaps between guides: doubtful where they do not run one way, or all crowd at
 * the tip.
 */
export function askNumbers(
  places: readonly RowPlace[],
  end: number | undefined,
  asked: ListQuestion[],
): 'distances' | 'gaps' {
  const guides = guidesOf(places);
  if (guides.length < leastPlaces || guides.some(({ from, gap }) => from !== undefined || gap !== undefined))
    return 'distances';
  const values = guides.map(({ mm }) => mm);
  const sum = values.reduce((total, value) => total + value, 0);
  if (values.some((value) => value <= 0) || sum > (end ?? longestRod)) return 'distances';
  const steps = values.slice(1).map((value, i) => value - values[i]!);
  const oneWay = steps.every((step) => step > 0) || steps.every((step) => step < 0);
  const meanStep = Math.abs(values.at(-1)! - values[0]!) / steps.length;
  const crowded =
    end !== undefined &&
    Math.max(...values) < lastReaches * end &&
    sum > sumReaches * end &&
    meanStep < stepsReach * Math.min(values[0]!, values.at(-1)!);
  if (oneWay && !crowded) return 'distances';
  asked.push({
    about: 'numbers',
    text: oneWay
      ? 'Are these distances from the tip, or the gaps from guide to guide? As distances they all lie close to the tip.'
      : 'Are these distances from the tip, or the gaps from guide to guide? As distances they would not run one way.',
    answers: [
      { value: 'distances', text: 'Distances' },
      { value: 'gaps', text: 'Gaps, to be added up' },
    ],
  });
  return 'distances';
}
