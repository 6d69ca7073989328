import { choleskyFactor, choleskySolve } from '../adjust/least_squares.ts';
import { misreadSteps } from './misread.ts';

/** One found place held against the plan, mm. */
export interface PlacedItem {
  id: string;
  at: number;
  found: number;
  /** standard uncertainty of this place alone, without what it shares with the others */
  u: number;
}

/** Standard uncertainties every place shares: of the scale (relative) and of the tip (mm). */
export interface SharedUncertainty {
  scale: number;
  tip: number;
}

/** What the offsets of a whole rod say together; found minus planned, positive toward the butt. */
export type Pattern =
  | { kind: 'shift'; value: number; u: number; probability: number }
  /** every distance in proportion: 0.01 is 1 % too long */
  | { kind: 'growth'; value: number; u: number; probability: number }
  /** errors that add up from one place to the next; `step` is their root mean square per place, mm */
  | { kind: 'accumulating'; step: number; probability: number }
  | { kind: 'misread'; id: string; offset: number; length: number; probability: number }
  | { kind: 'wrong-end'; probability: number };

/*
 * Builders' habits as prior odds and spreads, mm; common practice, no source. What is named must be far likelier than all
 * its rivals together, so the exact figures matter little.
 */
const spreads: readonly Weighted[] = [
  { value: 0.15, weight: 0.1 },
  { value: 0.25, weight: 0.2 },
  { value: 0.4, weight: 0.25 },
  { value: 0.6, weight: 0.2 },
  { value: 0.9, weight: 0.13 },
  { value: 1.3, weight: 0.08 },
  { value: 2, weight: 0.04 },
];
const shiftSizes = [3, 10];
const growthSizes = [0.005, 0.02];
const stepSizes = [0.6, 1, 1.6, 2.6];
const slipSize = 12;
const slipProbability = 0.01;
const misreadProbability = 0.03;
const mostStrays = 3;
const namedAbove = 0.9;
const misreadNamedAbove = 0.8;
/** below these (mm) a pattern is nothing to tell a builder about, however clear it is */
const leastShift = 0.5;
const leastGrowthAtFarthest = 1;

interface Weighted {
  value: number;
  weight: number;
}

interface Model {
  name: 'noise' | 'shift' | 'growth' | 'shift-growth' | 'accumulating' | 'wrong-end' | 'wrong-end-shift';
  prior: number;
}
const models: readonly Model[] = [
  { name: 'noise', prior: 0.78 },
  { name: 'shift', prior: 0.07 },
  { name: 'growth', prior: 0.05 },
  { name: 'shift-growth', prior: 0.02 },
  { name: 'accumulating', prior: 0.06 },
  { name: 'wrong-end', prior: 0.01 },
  { name: 'wrong-end-shift', prior: 0.01 },
];

/** One item set apart from the rest: read wrong by a whole division (`step`, signed mm), or slipped by any amount. */
interface Stray {
  index: number;
  step?: number;
}

interface Explanation {
  model: Model;
  strays: readonly Stray[];
  logJoint: number;
}

/**
 * Compares what could have made all the offsets together, by Bayesian model comparison with Gaussian errors: scatter
 * alone, one shift, growth in proportion, both, errors that add up from place to place, the distances counted from the
 * butt; each with up to three items read wrong by a whole division or slipped. The marginal likelihoods are exact for the
 * linear parts and summed over a few sizes of scatter, shift, growth and step (Kass & Raftery, J. Am. Stat. Assoc. 90
 * (1995) 773-795, for the method and the scale of evidence; a cause is named from 9 to 1 on against all its rivals together).
 * Fewer than three places say nothing.
 *
 * @param blankLength mm
 */
export function findPatterns(items: readonly PlacedItem[], blankLength: number, shared: SharedUncertainty): Pattern[] {
  if (items.length < 3) return [];
  const ordered = items.toSorted((a, b) => a.at - b.at);
  const explanations = models.flatMap((model) => explain(model, ordered, blankLength, shared));
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

/** Every set of strays looked at for one model, best first added one by one. */
function explain(
  model: Model,
  items: readonly PlacedItem[],
  blankLength: number,
  shared: SharedUncertainty,
): Explanation[] {
  const explanations: Explanation[] = [];
  const noStray = Math.log(1 - slipProbability - misreadProbability);
  const logSlip = Math.log(slipProbability) - noStray;
  const logMisread = Math.log(misreadProbability / (2 * misreadSteps.length)) - noStray;
  const signedSteps = misreadSteps.flatMap((s) => [s.length, -s.length]);
  let strays: readonly Stray[] = [];
  let reached = -Infinity;
  for (let round = 0; round <= Math.min(mostStrays, items.length - 3); round++) {
    const taken = new Set(strays.map((s) => s.index));
    const candidates = items
      .map((_, index) => index)
      .filter((index) => !taken.has(index))
      .flatMap((index): Stray[] => [{ index }, ...signedSteps.map((step) => ({ index, step }))]);
    const prior =
      Math.log(model.prior) +
      items.length * noStray +
      strays.reduce((sum, s) => sum + (s.step === undefined ? logSlip : logMisread), 0);
    const without: number[] = [];
    const withCandidate: number[][] = candidates.map(() => []);
    const offsets = strayFreeOffsets(model, items, strays, blankLength);
    for (const { covariance, logWeight } of covariances(model, items, strays, shared)) {
      const inverse = invert(covariance, items.length);
      if (!inverse) continue;
      const weighted = multiply(inverse.matrix, offsets);
      const chiSquare = offsets.reduce((sum, d, i) => sum + d * weighted[i]!, 0);
      const base = logWeight - 0.5 * (inverse.logDeterminant + items.length * Math.log(2 * Math.PI));
      without.push(base - 0.5 * chiSquare);
      candidates.forEach(({ index, step }, c) => {
        const own = inverse.matrix[index * items.length + index]!;
        const pull = weighted[index]!;
        // Taking a step off one offset, or widening one variance, changes the quadratic form in closed form.
        if (step === undefined) {
          const widened = 1 + slipSize ** 2 * own;
          const eased = (slipSize ** 2 * pull ** 2) / widened;
          withCandidate[c]!.push(base - 0.5 * Math.log(widened) - 0.5 * (chiSquare - eased));
        } else withCandidate[c]!.push(base - 0.5 * (chiSquare - 2 * step * pull + step ** 2 * own));
      });
    }
    if (round === 0) {
      reached = prior + logSum(without);
      explanations.push({ model, strays, logJoint: reached });
    }
    if (round === Math.min(mostStrays, items.length - 3)) break;
    let next: Explanation | undefined;
    candidates.forEach((candidate, c) => {
      const logJoint = prior + (candidate.step === undefined ? logSlip : logMisread) + logSum(withCandidate[c]!);
      const explanation = { model, strays: [...strays, candidate], logJoint };
      explanations.push(explanation);
      if (!next || logJoint > next.logJoint) next = explanation;
    });
    if (!next || next.logJoint <= reached) break;
    reached = next.logJoint;
    strays = next.strays;
  }
  return explanations;
}

function strayFreeOffsets(
  model: Model,
  items: readonly PlacedItem[],
  strays: readonly Stray[],
  blankLength: number,
): Float64Array {
  const offsets = Float64Array.from(items, (item) =>
    model.name.startsWith('wrong-end') ? item.found - (blankLength - item.at) : item.found - item.at,
  );
  for (const stray of strays) offsets[stray.index]! -= stray.step ?? 0;
  return offsets;
}

/** The covariance of the offsets for every size of scatter and of the model's own effect. */
function* covariances(
  model: Model,
  items: readonly PlacedItem[],
  strays: readonly Stray[],
  shared: SharedUncertainty,
): Generator<{ covariance: Float64Array; logWeight: number }> {
  const n = items.length;
  const none = [0];
  const shifts =
    model.name === 'shift' || model.name === 'shift-growth' || model.name === 'wrong-end-shift' ? shiftSizes : none;
  const growths = model.name === 'growth' || model.name === 'shift-growth' ? growthSizes : none;
  const steps = model.name === 'accumulating' ? stepSizes : none;
  const slipped = new Set(strays.filter((s) => s.step === undefined).map((s) => s.index));
  const count = shifts.length * growths.length * steps.length;
  for (const spread of spreads) {
    for (const shift of shifts) {
      for (const growth of growths) {
        for (const step of steps) {
          const covariance = new Float64Array(n * n);
          for (let i = 0; i < n; i++) {
            for (let j = 0; j < n; j++)
              covariance[i * n + j] =
                shift ** 2 +
                shared.tip ** 2 +
                (growth ** 2 + shared.scale ** 2) * items[i]!.at * items[j]!.at +
                step ** 2 * (Math.min(i, j) + 1);
            covariance[i * n + i]! += spread.value ** 2 + items[i]!.u ** 2 + (slipped.has(i) ? slipSize ** 2 : 0);
          }
          yield { covariance, logWeight: Math.log(spread.weight / count) };
        }
      }
    }
  }
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
  const offsets = strayFreeOffsets(best.model, items, best.strays, blankLength);
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
  // The scatter of the marks themselves counts: their variance is taken from the residuals when it exceeds the stated one.
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

function invert(matrix: Float64Array, n: number): { matrix: Float64Array; logDeterminant: number } | undefined {
  const factor = choleskyFactor(matrix, n);
  if (!factor) return undefined;
  const inverse = new Float64Array(n * n);
  let logDeterminant = 0;
  for (let i = 0; i < n; i++) {
    logDeterminant += 2 * Math.log(factor[i * n + i]!);
    const column = new Float64Array(n);
    column[i] = 1;
    inverse.set(choleskySolve(factor, n, column), i * n);
  }
  return { matrix: inverse, logDeterminant };
}

const multiply = (matrix: Float64Array, vector: Float64Array): Float64Array =>
  vector.map((_, i) => vector.reduce((sum, v, j) => sum + matrix[i * vector.length + j]! * v, 0));

function logSum(logs: readonly number[]): number {
  const largest = Math.max(-Infinity, ...logs);
  if (largest === -Infinity) return -Infinity;
  return largest + Math.log(logs.reduce((sum, l) => sum + Math.exp(l - largest), 0));
}
