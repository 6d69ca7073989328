import type { LengthDisplay } from '../lengths/length_text.ts';
import { millimetresPerInch } from '../lengths/units.ts';
import { type Plan, planStart, type Position, ringOf } from '../plan.ts';
import { type Finding, lengthWords, ringWords } from './finding.ts';

/** Guides that reach no further than this share of the blank crowd at its tip: a slip, or a plan only begun. */
const crowdedShare = 0.35;
/** Without a likely slip it is said only below this share. */
const fewAtTip = 0.1;
const leastGuides = 3;
/** As inches, the last guide must then reach at least this share for inches to be the likeliest slip. */
const usualReach = 0.4;
/** Two rings whose outer diameters differ by less are of one size, mm. */
const sameSize = 0.3;

/**
 * Holds the whole set of guides against the blank: all crowded at the tip (inches read as millimetres, gaps read as
 * distances), behind the grip, or rings that get larger toward the tip (the list reversed). One finding names the
 * likeliest slip.
 */
export function plausibilityFindings(plan: Plan, display: LengthDisplay): Finding[] {
  const guides = plan.positions.filter(({ kind }) => kind === 'guide');
  const words = (mm: number) => lengthWords(mm, display);
  return [...crowded(plan, guides, words), ...behindGrip(plan, guides, words), ...reversed(guides)];
}

type Words = (mm: number) => string;

function crowded(plan: Plan, guides: readonly Position[], words: Words): Finding[] {
  const start = planStart(plan);
  const { length } = plan.blank;
  const far = Math.max(...guides.map(({ at }) => at - start));
  // a butt section commonly carries its few guides near its ferrule
  if (guides.length < leastGuides || plan.section || !(far < crowdedShare * length)) return [];
  const sum = guides.reduce((total, { at }) => total + at, 0);
  const asInches = far * millimetresPerInch;
  const steps = guides.slice(1).map(({ at }, k) => at - guides[k]!.at);
  const meanStep = steps.reduce((total, step) => total + step, 0) / steps.length;
  const slip =
    plan.unit === 'mm' && asInches <= length && asInches >= usualReach * length
      ? 'inches read as millimetres'
      : meanStep < guides[0]!.at / 2 && sum <= length && sum >= usualReach * length
        ? 'gaps read as distances'
        : undefined;
  if (slip === undefined && far > fewAtTip * length) return [];
  return [
    {
      rule: 'crowded',
      weight: slip === undefined ? 'look' : 'fault',
      items: guides.map(({ id }) => id),
      by: length - far,
      text: `All ${guides.length} guides stand in the first ${words(far)} of a blank ${words(length)} long.`,
      cure:
        slip === undefined
          ? 'Add the others, or check unit and distances.'
          : `The likeliest slip is ${slip}: check the list.`,
    },
  ];
}

function behindGrip(plan: Plan, guides: readonly Position[], words: Words): Finding[] {
  const handle = (plan.fittings ?? []).filter(({ kind }) => kind === 'grip' || kind === 'reel-seat');
  if (handle.length === 0) return [];
  const from = Math.min(...handle.map((fitting) => fitting.from));
  const behind = guides.filter(({ at }) => at > from);
  const beyond = Math.max(...handle.map((fitting) => fitting.to));
  // one guide on the grip is told where it lies on it
  if (behind.length === 0 || (behind.length === 1 && behind[0]!.at <= beyond)) return [];
  const [first] = behind;
  return [
    {
      rule: 'behind-grip',
      weight: 'fault',
      items: behind.map(({ id }) => id),
      by: Math.max(...behind.map(({ at }) => at - from)),
      text: `${behind.map(({ id }) => id).join(', ')} would stand behind the front of the grip or reel seat, which is ${words(from)} from the tip.`,
      cure:
        behind.length > 1
          ? 'The likeliest slip is a list counted from the butt: check which end it counts from.'
          : `Check the distance of ${first!.id}, or the place of the grip.`,
    },
  ];
}

/** Pairs that run down are many findings of one slip, once the whole row does. */
export function ringsRunDown(guides: readonly Position[]): boolean {
  const sizes = guides.flatMap(({ guide }) => ringOf(guide)?.ringOuter ?? []);
  return (
    sizes.length >= leastGuides &&
    sizes.every((size, k) => k === 0 || size <= sizes[k - 1]! + sameSize) &&
    sizes[0]! - sizes.at(-1)! > sameSize
  );
}

function reversed(guides: readonly Position[]): Finding[] {
  if (!ringsRunDown(guides)) return [];
  const ringed = guides.filter(({ guide }) => ringOf(guide));
  const size = (position: Position) => ringOf(position.guide)!.ringOuter;
  const [first, last] = [ringed[0]!, ringed.at(-1)!];
  return [
    {
      rule: 'reversed',
      weight: 'fault',
      items: ringed.map(({ id }) => id),
      by: size(first) - size(last),
      text: `The rings get larger toward the tip, from ${ringWords(size(last))} at ${last.id} to ${ringWords(size(first))} at ${first.id}.`,
      cure: 'The likeliest slip is a list reversed: check which end the distances and the rings are listed from.',
    },
  ];
}
