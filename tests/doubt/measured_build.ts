import { checkShoot } from '../../src/check/check_shoot.ts';
import { InputError } from '../../src/plan/input_error.ts';
import type { Report } from '../../src/verdict/report.ts';
import type { Finder } from '../../src/vision/finder/finder.ts';
import { type DrawnBuild, drawBuild, type ShootKind } from '../world/drawn_build.ts';

/** A guide of a drawn build as the check has it; errors with the expanded uncertainty stated, mm and degrees. */
export interface MeasuredGuide {
  id: string;
  /** mm from the tip, as drawn; outer diameter, mm */
  at: number;
  outer: number;
  /** the plan gives it another size */
  wrongSize: boolean;
  along: { error: number; expanded: number };
  /** without what the tape's own error makes of it */
  apart: { error: number; expanded: number };
  /** standard uncertainties that make up along, mm */
  parts?: Report['items'][0]['uncertainty'];
  roll?: { error: number; expanded: number };
}

/** A drawn build as the check measured it. */
export interface MeasuredBuild
  extends Pick<DrawnBuild, 'seed' | 'kind' | 'waves' | 'field' | 'picture' | 'tape' | 'wrongSizes'> {
  /** one sentence, where it was not measured */
  refused?: string;
  found: MeasuredGuide[];
  /** guides that are there and were not found, and the places of what was found where nothing is */
  lost: string[];
  ghosts: number[];
  /** passed though they are off */
  falsePass: string[];
  notes: string[];
  halves?: Report['halves'];
  /** processor time of drawing and of the check, s */
  seconds: { drawing: number; check: number };
}

/** A place farther than this from every guide is of something else, mm. */
const elsewhere = 6;

const median = (values: readonly number[]) => {
  const sorted = values.toSorted((a, b) => a - b);
  return (sorted[(sorted.length - 1) >> 1]! + sorted[sorted.length >> 1]!) / 2;
};

/** Draws the build of a seed, checks it, and holds the report against what was drawn. */
export async function measureBuild(seed: number, finder: Finder): Promise<MeasuredBuild> {
  const build = drawBuild(seed);
  const used = () => process.cpuUsage().user / 1e6;
  const [begin, photos] = [used(), build.shoot.photos.map((_, i) => build.photo(i))];
  const drawn = used();
  const { kind, waves, field, picture, tape, wrongSizes } = build;
  const outcome = await checkShoot(
    build.plan,
    build.shoot,
    async (i) => photos[i]!,
    () => {},
    { finder },
  ).then(
    ({ report }) => judged(build, report),
    (problem: unknown) => {
      if (!(problem instanceof InputError)) throw problem;
      return { refused: problem.message, found: [], lost: [], ghosts: [], falsePass: [], notes: [] };
    },
  );
  const seconds = { drawing: drawn - begin, check: used() - drawn };
  return { seed, kind, waves, field, picture, tape, wrongSizes, ...outcome, seconds };
}

function judged({ guides, tape, wrongSizes, plan }: DrawnBuild, report: Report) {
  const items = guides.map((guide) => ({ guide, item: report.items.find(({ id }) => id === guide.id) }));
  const seen = items.flatMap(({ guide, item }) =>
    item?.found && item.along && Math.abs(item.along.value - guide.at) < elsewhere
      ? [{ guide, item, along: item.along }]
      : [],
  );
  // The guides themselves are the reference of roll: the middle of those that have one.
  const zero = median(seen.filter(({ item }) => item.roll).map(({ guide }) => guide.roll));
  const found = seen.map(({ guide, item, along }): MeasuredGuide => {
    const error = along.value - guide.at;
    return {
      id: guide.id,
      at: guide.at,
      outer: guide.outer,
      wrongSize: wrongSizes.includes(guide.id),
      along: { error, expanded: along.expanded },
      apart: { error: error - tape * guide.at, expanded: along.apart ?? along.expanded },
      ...(item.uncertainty && { parts: item.uncertainty }),
      ...(item.roll && { roll: { error: item.roll.value - (guide.roll - zero), expanded: item.roll.expanded } }),
    };
  });
  const places = [...report.items.flatMap(({ along }) => along ?? []), ...report.extras.map(({ along }) => along)];
  const falsePass = items.flatMap(({ guide, item }, i) => [
    ...(item?.alongVerdict === 'on' && Math.abs(guide.at - plan.positions[i]!.at) > plan.tolerance.along
      ? [`${guide.id} along`]
      : []),
    ...(item?.rollVerdict === 'on' && Math.abs(guide.roll - zero) > plan.tolerance.roll ? [`${guide.id} roll`] : []),
  ]);
  return {
    found,
    lost: items.flatMap(({ guide }) => (seen.some((one) => one.guide === guide) ? [] : [guide.id])),
    ghosts: places.flatMap(({ value }) => (guides.every(({ at }) => Math.abs(at - value) > elsewhere) ? [value] : [])),
    falsePass,
    notes: report.notes,
    ...(report.halves && { halves: report.halves }),
  };
}

export type { ShootKind };
