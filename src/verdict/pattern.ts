import {
  type Explanation,
  explainOffsets,
  logSum,
  offsetModels,
  offsetsWithoutStrays,
  type PlacedItem,
  type SharedUncertainty,
} from './offset_models.ts';

/** What the offsets of a whole rod say together; found minus planned, positive toward the butt. */
export type Pattern =
  | { kind: 'shift'; value: number; u: number; probability: number }
  /** every distance in proportion: 0.01 is 1 % too long */
  | { kind: 'growth'; value: number; u: number; probability: number }
  /** errors that add up from one place to the next; `step` is their root mean square per place, mm */
  | { kind: 'accumulating'; step: number; probability: number }
  | { kind: 'misread'; id: string; offset: number; length: number; probability: number }
  | { kind: 'wrong-end'; probability: number };

const namedAbove = 0.9;
const misreadNamedAbove = 0.8;
/** below these (mm) a pattern is nothing to tell a builder about, however clear it is */
const leastShift = 0.5;
const leastGrowthAtFarthest = 1;

/**
 * Compares what could have made all the offsets together, by Bayesian model comparison with Gaussian errors: scatter
 * alone, one shift, growth in proportion, both, errors that add up from place to place, the distances counted from the
 * butt; each with up to three items read wrong by a whole division or slipped. The marginal likelihoods are exact for
 * the linear parts and summed over a few sizes of scatter, shift, growth and step (Kass & Raftery, J. Am. Stat. Assoc.
 * 90 (1995) 773-795, for the method and the scale of evidence; a cause is named from 9 to 1 on against all its rivals
 * together). Fewer than three places say nothing.
 *
 * @param blankLength mm
 */
export function findPatterns(items: readonly PlacedItem[], blankLength: number, shared: SharedUncertainty): Pattern[] {
  if (items.length < 3) return [];
  const ordered = items.toSorted((a, b) => a.at - b.at);
  const explanations = offsetModels.flatMap((model) => explainOffsets(model, ordered, blankLength, shared));
  const total = logSum(explanations.map((e) => e.logJoint));
  const probability = (holds: (e: Explanation) => boolean): number =>
    Math.exp(logSum(explanations.filter(holds).map((e) => e.logJoint)) - total);
  const best = explanations.reduce((a, b) => (b.logJoint > a.logJoint ? b : a));
  const patterns: Pattern[] = [];

  const shifted = probability((e) => e.model.name === 'shift' || e.model.name === 'shift-growth');
  const grown = probability((e) => e.model.name === 'growth' || e.model.name === 'shift-growth');
  const line = () => fitLine(best, ordered, blankLength, shared);
  if (shifted > namedAbove) {
    const { shift } = line();
    if (Math.abs(shift.value) >= leastShift) patterns.push({ kind: 'shift', ...shift, probability: shifted });
  }
  if (grown > namedAbove) {
    const { growth } = line();
    if (Math.abs(growth.value) * ordered.at(-1)!.at >= leastGrowthAtFarthest)
      patterns.push({ kind: 'growth', ...growth, probability: grown });
  }
  const accumulating = probability((e) => e.model.name === 'accumulating');
  if (accumulating > namedAbove)
    patterns.push({ kind: 'accumulating', step: rootMeanSquareStep(best, ordered), probability: accumulating });
  const wrongEnd = probability((e) => e.model.name.startsWith('wrong-end'));
  if (wrongEnd > namedAbove) patterns.push({ kind: 'wrong-end', probability: wrongEnd });

  for (const stray of best.strays) {
    if (stray.step === undefined) continue;
    const item = ordered[stray.index]!;
    const sure = probability((e) => e.strays.some((s) => s.index === stray.index && s.step === stray.step));
    if (sure > misreadNamedAbove)
      patterns.push({
        kind: 'misread',
        id: item.id,
        offset: item.found - item.at,
        length: Math.abs(stray.step),
        probability: sure,
      });
  }
  return patterns;
}
interface Line {
  shift: { value: number; u: number };
  growth: { value: number; u: number };
}

/** The shift and growth of the best explanation, by generalized least squares over its regular items. */
function fitLine(
  best: Explanation,
  items: readonly PlacedItem[],
  blankLength: number,
  shared: SharedUncertainty,
): Line {
  const slipped = new Set(best.strays.filter((s) => s.step === undefined).map((s) => s.index));
  const offsets = offsetsWithoutStrays(best.model, items, best.strays, blankLength);
  const withShift = best.model.name !== 'growth';
  const withGrowth = best.model.name !== 'shift';
  let [w, wx, wxx, wy, wxy] = [0, 0, 0, 0, 0];
  const rows = items.map((item, i) => ({
    x: item.at,
    y: offsets[i]!,
    variance: item.u ** 2 + 0.05 ** 2,
    used: !slipped.has(i),
  }));
  for (const { x, y, variance, used } of rows) {
    if (!used) continue;
    w += 1 / variance;
    wx += x / variance;
    wxx += x ** 2 / variance;
    wy += y / variance;
    wxy += (x * y) / variance;
  }
  const determinant = w * wxx - wx ** 2;
  const both = withShift && withGrowth;
  const shift = both ? (wxx * wy - wx * wxy) / determinant : withShift ? wy / w : 0;
  const growth = both ? (w * wxy - wx * wy) / determinant : withGrowth ? wxy / wxx : 0;
  const used = rows.filter((row) => row.used);
  const freedom = Math.max(1, used.length - (both ? 2 : 1));
  // The scatter of the marks themselves counts: their variance is taken from the residuals when it exceeds the stated
  // one.
  const factor = Math.max(
    1,
    used.reduce((sum, { x, y, variance }) => sum + (y - shift - growth * x) ** 2 / variance, 0) / freedom,
  );
  return {
    shift: { value: shift, u: Math.hypot(Math.sqrt((both ? wxx / determinant : 1 / w) * factor), shared.tip) },
    growth: { value: growth, u: Math.hypot(Math.sqrt((both ? w / determinant : 1 / wxx) * factor), shared.scale) },
  };
}

function rootMeanSquareStep(best: Explanation, items: readonly PlacedItem[]): number {
  const strays = new Map(best.strays.map((s) => [s.index, s.step]));
  const regular = items.flatMap((item, i) =>
    strays.has(i) && strays.get(i) === undefined ? [] : [item.found - item.at - (strays.get(i) ?? 0)],
  );
  const steps = regular.map((offset, i) => offset - (regular[i - 1] ?? 0));
  return Math.sqrt(steps.reduce((sum, step) => sum + step ** 2, 0) / steps.length);
}
