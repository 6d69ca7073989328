import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import { blankRadius } from '../geometry/blank_axis.ts';
import { median } from '../numerics/robust.ts';
import type { Blank } from '../plan/plan.ts';
import { type ClassName, classNames, type StripSeen } from '../vision/finder/sighting.ts';

const limits = {
  /** the rod is gone over in stretches of this length, mm: a shadow may touch the blank on part of it only */
  stretch: 100,
  /**
   * the middle of the finder's cells of blank, 1.2 mm wide, lies within this of a well-placed axis on the mean of a
   * stretch, mm (in one photo, on 50 mm of most of 62 sets, 0.15 in the median); and leaves less than this of one side
   * of the outline bare, mm
   */
  aside: 0.4,
  bare: 0.1,
  /** cells farther from the axis than this belong to something else, mm */
  reach: 6,
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
 * A dark, sharp shadow that touches the blank can pass for it by its outlines alone. Where the finder sees the blank
 * beside the axis, and none of it on one side of what the outlines hold, neither is believed over the other: what they
 * differ by goes into the doubt of the axis, and it is said; the tip end has witnesses of its own. Light blanks in sun
 * are the finder's own weak point (it may take their shadow for them): several photos' outlines are then the better
 * witness of the height, and only a roll, which hangs on where the axis lies across, is doubted by it.
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
 * How far the finder sees the blank beside the axis, mm, by number of the stretch along it; the middle of what the
 * photos say, and only where that is more than its cells waver.
 */
function asidesAlong(seen: readonly StripSeen[], blank: BlankSolution): Map<number, number> {
  const told = seen.map((photo) => seenBeside(photo, blank));
  const stretches = new Set(told.flatMap((sides) => [...sides.keys()]));
  return new Map(
    [...stretches].flatMap((stretch) => {
      const each = told.flatMap((sides) => sides.get(stretch) ?? []);
      const middle = median(each.map((own) => own.middle));
      const bare = median(each.map((own) => own.bare)) * Math.sign(middle);
      const aside = Math.abs(middle);
      return aside >= limits.aside && bare >= limits.bare ? [[stretch, aside]] : [];
    }),
  );
}

/** Whether something lies on the blank there, so that what is left of its cells is its edge or its shadow. */
function isHidden({ classes, columns, rows, across, step }: StripSeen['classes'], column: number, radius: number) {
  for (let row = 0; row < rows; row++) {
    const name = classNames[classes[row * columns + column]!];
    if (Math.abs(across + row * step) < radius && name !== undefined && onBlank.has(name)) return true;
  }
  return false;
}

/** What one photo's cells of blank say of a cross-section or, on the mean, of a stretch, mm: positive to the right. */
interface Beside {
  /** how far their middle lies beside the axis */
  middle: number;
  /** how much more of one side of the outline they leave bare than of the other; cells beyond it count for nothing */
  bare: number;
}

/** Where one photo's cells of blank lie beside the axis, by stretch. */
function seenBeside({ classes }: StripSeen, { axis, grip }: BlankSolution): Map<number, Beside> {
  const stretches = new Map<number, Beside[]>();
  for (let column = 0; column < classes.columns; column++) {
    const along = classes.from + column * classes.step;
    if (along < limits.fromTip || along > (grip ?? Number.POSITIVE_INFINITY)) continue;
    const radius = blankRadius(axis, along);
    const beside = isHidden(classes, column, radius) ? undefined : besideAt(classes, column, radius);
    if (!beside) continue;
    const stretch = Math.floor(along / limits.stretch);
    stretches.set(stretch, [...(stretches.get(stretch) ?? []), beside]);
  }
  const mean = (all: readonly Beside[], told: (one: Beside) => number) =>
    all.reduce((sum, one) => sum + told(one), 0) / all.length;
  return new Map(
    [...stretches]
      .filter(([, all]) => all.length >= limits.columns)
      .map(([stretch, all]) => [
        stretch,
        { middle: mean(all, (one) => one.middle), bare: mean(all, (one) => one.bare) },
      ]),
  );
}

/** What the cells of blank of one column say; undefined where there are none. */
function besideAt(grid: StripSeen['classes'], column: number, radius: number): Beside | undefined {
  const { classes, certainty, columns, rows, step } = grid;
  let [left, right] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  const sum = { weight: 0, across: 0 };
  for (let row = 0; row < rows; row++) {
    const across = grid.across + row * step;
    const cell = row * columns + column;
    if (Math.abs(across) > limits.reach || classes[cell] !== blankClass) continue;
    left = Math.min(left, across - step / 2);
    right = Math.max(right, across + step / 2);
    sum.weight += certainty[cell]!;
    sum.across += certainty[cell]! * across;
  }
  if (sum.weight === 0) return undefined;
  return { middle: sum.across / sum.weight, bare: Math.max(left + radius, 0) - Math.max(radius - right, 0) };
}
