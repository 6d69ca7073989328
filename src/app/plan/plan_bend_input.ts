import type { GapsAllowed } from '../../plan/bend/bend_layout_case.ts';
import type { BlankMaterial } from '../../plan/findings/load_findings.ts';
import type { LayoutSpec } from '../../plan/layouts/wanted_layout.ts';
import type { Guide, Plan } from '../../plan/plan.ts';
import type { TapeDivision } from '../../plan/lengths/tape_reading.ts';
import { newtonsOfGrams } from '../../plan/lengths/units.ts';
import { planWords } from '../words/plan_words.ts';

/** What stands in a field until it is written: guides; degrees; mm above the blank. */
export const usualBend = { guides: 7, pullAngle: 90, reelHeight: 30 };

/** Pulls and hung weights that a field takes, grams. */
export const forceLimits = { least: 0.1, most: 200_000, optional: true } as const;

/** What the fields of a layout by bend say; mm, grams, GPa, degrees; undefined where nothing readable stands. */
export interface BendInput {
  plan: Plan;
  /** finds places, or bends the rod with the guides where the list has them */
  what: 'place' | 'list';
  guides: number;
  stiffness: 'modulus' | 'hang';
  modulus: number | undefined;
  wall: number | undefined;
  /** places along the blank and the diameter or drop there */
  stations: { at: number; other: number }[];
  weight: number | undefined;
  drops: { at: number; other: number }[];
  load: number | undefined;
  /** the ends of the range of pulls */
  light: number | undefined;
  heavy: number | undefined;
  gaps: GapsAllowed;
  material: BlankMaterial;
  pullAngle: number;
  side: 'top' | 'underneath';
  clampAt: number | undefined;
  reelAt: number | undefined;
  reelHeight: number;
  tipTop: { height: number; ringInner: number };
  first: number | undefined;
  last: number | undefined;
  /** as typed: numbers with spaces between, or nothing for equal shares */
  shares: string;
  rounding: TapeDivision | 'none';
}

/** What a bend cannot be worked out without, by name, and is not filled in yet. */
function missingFields({ plan, stiffness, modulus, weight, load, clampAt, reelAt }: BendInput): string[] {
  const { length, tipDiameter, buttDiameter } = plan.blank;
  return [
    length > 0 ? '' : planWords.length,
    tipDiameter > 0 ? '' : planWords.tipDiameter,
    buttDiameter > 0 ? '' : planWords.buttDiameter,
    stiffness === 'modulus' && modulus === undefined ? planWords.modulus : '',
    stiffness === 'hang' && weight === undefined ? planWords.weight : '',
    load === undefined ? planWords.load : '',
    clampAt === undefined ? planWords.clampAt : '',
    reelAt === undefined ? planWords.reelAt : '',
  ].filter((name) => name !== '');
}

/** The blank's diameters from tip to butt, and what its stiffness is told by; nothing is missing any more. */
function rodOf({ plan, stiffness, modulus, wall, weight, clampAt, stations: between, drops }: BendInput) {
  const { length, tipDiameter, buttDiameter } = plan.blank;
  const ends = [
    { at: 0, diameter: tipDiameter },
    { at: length, diameter: buttDiameter },
  ];
  const inside = between.filter(({ at }) => at > 0 && at < length).map(({ at, other }) => ({ at, diameter: other }));
  const thick = stiffness === 'modulus' && wall !== undefined ? { wall } : {};
  const stations = [...ends, ...inside].toSorted((a, b) => a.at - b.at).map((station) => ({ ...station, ...thick }));
  if (stiffness === 'modulus') return { stations, modulus: modulus! };
  const fallen = drops.map(({ at, other }) => ({ at, drop: other }));
  return { stations, hangTest: { weight: newtonsOfGrams(weight!), clampAt: clampAt!, drops: fallen } };
}

/**
 * The layout to work out, or one sentence on what is still missing. Guides keep the plan's shapes as far as they go.
 */
export function bendSpec(input: BendInput, plain: Guide): LayoutSpec | { why: string } {
  const { plan, load, clampAt, reelAt, first, last, rounding } = input;
  const missing = missingFields(input);
  if (missing.length > 0) return { why: planWords.bendMissing(missing) };
  const shares =
    input.shares.trim() === ''
      ? undefined
      : input.shares
          .trim()
          .split(/[\s;]+/)
          .map(Number);
  if (shares && !shares.every((share) => share > 0)) return { why: planWords.sharesWrong };

  const listed = plan.positions.filter((position) => position.guide).toSorted((a, b) => a.at - b.at);
  if (input.what === 'list' && listed.length === 0) return { why: planWords.bendNoList };
  const own = listed.map(({ guide }) => guide!);
  const { positions: _, ...rest } = plan;
  const pull = (grams: number) => ({ tension: newtonsOfGrams(grams), pullAngle: input.pullAngle });
  return {
    plan: rest,
    others: [],
    material: input.material,
    guides:
      input.what === 'list'
        ? listed.map(({ id, guide }) => ({ id, guide: guide! }))
        : Array.from({ length: input.guides }, (_unused, k) => ({ guide: own[k] ?? own.at(-1) ?? plain })),
    ...(input.what === 'place' && rounding !== 'none' && { division: rounding }),
    layout: {
      kind: 'bend',
      rod: rodOf(input),
      load: pull(load!),
      ...(input.light !== undefined && { light: pull(input.light) }),
      ...(input.heavy !== undefined && { heavy: pull(input.heavy) }),
      gaps: input.gaps,
      side: input.side,
      clampAt: clampAt!,
      reel: { at: reelAt!, height: input.reelHeight },
      tipTop: input.tipTop,
      ...(input.what === 'list'
        ? { at: listed.map(({ at }) => at) }
        : { ...(first !== undefined && { first }), ...(last !== undefined && { last }), ...(shares && { shares }) }),
    },
  };
}
