import type { Estimate } from '../numerics/estimate.ts';
import { axisSigmaAt } from '../adjust/blank_adjustment.ts';
import { fitSpineLine } from '../adjust/spine_fit.ts';
import { blankRadius } from '../geometry/blank_axis.ts';
import { markRange } from '../vision/grip_start.ts';
import { type LineShape, seenLines } from '../vision/seen_lines.ts';
import { degrees, type Measuring, outlineBias } from './measuring.ts';

/**
 * One photo has no second opinion on a line: a highlight beside it, or a shadow that shifts both outlines, turns it by
 * this much unseen, degrees.
 */
const fromOnePhoto = 1.5;

/** The line drawn along the blank: arc lengths it runs over, mm, and its roll as the blank lies, degrees. */
export interface DrawnLine {
  from: number;
  to: number;
  roll: Estimate;
}

/** The line drawn along the blank; undefined where there is none, or none that is surely not a highlight. */
export function drawnLine({ blank, views }: Pick<Measuring, 'blank' | 'views'>): DrawnLine | undefined {
  const range = markRange(blank.axis, blank.grip);
  const fit = (shape: LineShape) =>
    fitSpineLine(seenLines(views.list, blank.axis, range, shape), shape, blank.axis, outlineBias);
  const spine = fit('stroke') ?? fit('edge');
  if (!spine) return undefined;
  const { from, to, roll } = spine;
  const middle = (from + to) / 2;
  const across = axisSigmaAt(blank, middle).side / blankRadius(blank.axis, middle);
  const alone = spine.views.length === 1 ? fromOnePhoto : 0;
  return { from, to, roll: { value: roll.value, u: Math.hypot(roll.u, degrees(across), alone) } };
}
