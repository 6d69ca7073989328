import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import { median } from '../numerics/robust.ts';
import type { Blank } from '../plan/plan.ts';
import { classNames, type StripSeen } from '../vision/finder/sighting.ts';

const limits = {
  /**
   * the finder's cells are 1.2 mm wide: their middle along a whole photo strays from a well-placed axis by 0.75 mm at
   * most
   */
  aside: 0.9,
  /** cells farther from the axis than this belong to something else, mm */
  reach: 15,
  /** the tip's surroundings tell nothing about the axis, mm */
  fromTip: 20,
  /** fewer columns with blank in them are no second opinion */
  columns: 60,
} as const;

const blankClass = classNames.indexOf('blank');

/**
 * A dark, sharp shadow that touches the blank can pass for it by its outlines alone. Where the finder sees the blank
 * beside the axis, neither is believed over the other: the distance between them goes into the doubt of the tip and of
 * the axis, and it is said. Light blanks in sun are the finder's own weak point (it may take their shadow for them):
 * several photos' outlines are then the better witness, and it is asked only about a single photo.
 */
export function doubtShadow(
  blank: BlankSolution,
  seen: readonly StripSeen[],
  finish: Blank['finish'],
): { blank: BlankSolution; notes: string[] } {
  const asides = seen.flatMap((photo) => middleOfBlank(photo, blank.grip) ?? []);
  if (asides.length === 0 || (finish === 'light' && seen.length > 1)) return { blank, notes: [] };
  const aside = Math.abs(median(asides));
  if (aside < limits.aside) return { blank, notes: [] };
  const { step, side, height } = blank.axisSigma;
  const widened = (sigma: readonly number[], by: number) => sigma.map((u) => Math.hypot(u, by));
  return {
    blank: {
      ...blank,
      tipSigma: Math.hypot(blank.tipSigma, aside),
      axisSigma: { step, side: widened(side, aside), height: widened(height, aside / 2) },
    },
    notes: [
      `The blank and its shadow could not be told apart for certain: two ways of looking differ by ${aside.toFixed(1)} mm across, and no place is known better than that. Shoot again in softer light, or with the light along the rod.`,
    ],
  };
}

/** Where one photo's cells of blank lie off the axis in the middle, mm across; undefined where they are too few. */
function middleOfBlank({ classes }: StripSeen, grip: number | undefined): number | undefined {
  const middles: number[] = [];
  for (let column = 0; column < classes.columns; column++) {
    const along = classes.from + column * classes.step;
    if (along < limits.fromTip || along > (grip ?? Number.POSITIVE_INFINITY)) continue;
    let sum = 0;
    let count = 0;
    for (let row = 0; row < classes.rows; row++) {
      const across = classes.across + row * classes.step;
      if (Math.abs(across) > limits.reach || classes.classes[row * classes.columns + column] !== blankClass) continue;
      sum += across;
      count++;
    }
    if (count > 0) middles.push(sum / count);
  }
  return middles.length < limits.columns ? undefined : median(middles);
}
