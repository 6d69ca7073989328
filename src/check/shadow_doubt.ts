import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import { blankRadius } from '../geometry/blank_axis.ts';
import { median } from '../numerics/robust.ts';
import type { Blank } from '../plan/plan.ts';
import { type ClassName, classNames, type StripSeen } from '../vision/finder/sighting.ts';

const limits = {
  /** the rod is gone over in stretches of this length, mm: a shadow may touch the blank on part of it only */
  stretch: 100,
  /** the finder's cells are 1.2 mm wide: where they end leaves less than this of a well-placed outline bare, mm */
  aside: 0.9,
  /** cells farther from the axis than this belong to something else, mm */
  reach: 15,
  /** the tip's surroundings tell nothing about the axis, mm */
  fromTip: 20,
  /** the axis's height is doubted by this share of what is doubted across */
  height: 0.5,
  /** a stretch with fewer columns with blank in them has no second opinion */
  columns: 20,
} as const;

const blankClass = classNames.indexOf('blank');
const onBlank: ReadonlySet<ClassName> = new Set(['tape', 'thread', 'frame', 'ring', 'wire', 'tube', 'grip', 'other']);

/**
 * A dark, sharp shadow that touches the blank can pass for it by its outlines alone. Where the finder sees no blank on
 * one side of what the outlines hold, neither is believed over the other: what they differ by goes into the doubt of
 * the axis, and it is said; the tip end has witnesses of its own. Light blanks in sun are the finder's own weak point
 * (it may take their shadow for them): several photos' outlines are then the better witness of the height, and only a
 * roll, which hangs on where the axis lies across, is doubted by it.
 */
export function doubtShadow(
  blank: BlankSolution,
  seen: readonly StripSeen[],
  finish: Blank['finish'],
): { blank: BlankSolution; notes: string[] } {
  const asides = asidesAlong(seen, blank);
  const worst = Math.max(0, ...asides.values());
  if (worst === 0) return { blank, notes: [] };
  const height = finish === 'light' && seen.length > 1 ? 0 : limits.height;
  const sigma = blank.axisSigma;
  const asideAt = (along: number): number => {
    const stretch = Math.floor(along / limits.stretch);
    return Math.max(0, ...[stretch - 1, stretch, stretch + 1].map((at) => asides.get(at) ?? 0));
  };
  const widened = (sigmas: readonly number[], share: number) =>
    sigmas.map((u, i) => Math.hypot(u, share * asideAt(i * sigma.step)));
  return {
    blank: {
      ...blank,
      axisSigma: { ...sigma, side: widened(sigma.side, 1), height: widened(sigma.height, height) },
    },
    notes: [
      `The blank and its shadow could not be told apart for certain: two ways of looking differ by up to ${worst.toFixed(1)} mm across, which is counted into the doubt there. Shoot again in softer light, or with the light along the rod.`,
    ],
  };
}

/**
 * How much of one side of the outline the finder's cells of blank leave bare, mm, by number of the stretch along the
 * blank; the middle of what the photos say, and only where that is more than where cells end.
 */
function asidesAlong(seen: readonly StripSeen[], blank: BlankSolution): Map<number, number> {
  const told = seen.map((photo) => bareSides(photo, blank));
  const stretches = new Set(told.flatMap((sides) => [...sides.keys()]));
  const asides = [...stretches].map((stretch): [number, number] => {
    const each = told.flatMap((sides) => sides.get(stretch) ?? []);
    return [stretch, Math.abs(median(each))];
  });
  return new Map(asides.filter(([, aside]) => aside >= limits.aside));
}

/** Whether something lies on the blank there, so that what is left of its cells is its edge or its shadow. */
function isHidden({ classes, columns, rows, across, step }: StripSeen['classes'], column: number, radius: number) {
  for (let row = 0; row < rows; row++) {
    const name = classNames[classes[row * columns + column]!];
    if (Math.abs(across + row * step) < radius && name !== undefined && onBlank.has(name)) return true;
  }
  return false;
}

/**
 * What one photo's cells of blank leave bare of the outline on one side more than on the other, mm, by stretch:
 * positive to the right. That a shadow's edge is taken for blank as well says nothing against the outline.
 */
function bareSides({ classes }: StripSeen, { axis, grip }: BlankSolution): Map<number, number> {
  const columns = new Map<number, number[]>();
  for (let column = 0; column < classes.columns; column++) {
    const along = classes.from + column * classes.step;
    if (along < limits.fromTip || along > (grip ?? Number.POSITIVE_INFINITY)) continue;
    let [left, right] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (let row = 0; row < classes.rows; row++) {
      const across = classes.across + row * classes.step;
      if (Math.abs(across) > limits.reach || classes.classes[row * classes.columns + column] !== blankClass) continue;
      left = Math.min(left, across - classes.step / 2);
      right = Math.max(right, across + classes.step / 2);
    }
    const radius = blankRadius(axis, along);
    if (left > right || isHidden(classes, column, radius)) continue;
    const stretch = Math.floor(along / limits.stretch);
    const bare = Math.max(left + radius, 0) - Math.max(radius - right, 0);
    columns.set(stretch, [...(columns.get(stretch) ?? []), bare]);
  }
  return new Map(
    [...columns].filter(([, bare]) => bare.length >= limits.columns).map(([stretch, bare]) => [stretch, median(bare)]),
  );
}
