import { choleskyFactor, choleskyInverse } from '../numerics/cholesky.ts';
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

/*
 * Builders' habits as prior odds and spreads, mm; common practice, no source. What is named must be far likelier than
 * all its rivals together, so the exact figures matter little.
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

interface Weighted {
  value: number;
  weight: number;
}

export interface Model {
  name: 'noise' | 'shift' | 'growth' | 'shift-growth' | 'accumulating' | 'wrong-end' | 'wrong-end-shift';
  prior: number;
}
export const offsetModels: readonly Model[] = [
  { name: 'noise', prior: 0.78 },
  { name: 'shift', prior: 0.07 },
  { name: 'growth', prior: 0.05 },
  { name: 'shift-growth', prior: 0.02 },
  { name: 'accumulating', prior: 0.06 },
  { name: 'wrong-end', prior: 0.01 },
  { name: 'wrong-end-shift', prior: 0.01 },
];

/** One item set apart from the rest: read wrong by a whole division (`step`, signed mm), or slipped by any amount. */
export interface Stray {
  index: number;
  step?: number;
}

export interface Explanation {
  model: Model;
  strays: readonly Stray[];
  logJoint: number;
}
/** Every set of strays looked at for one model, best first added one by one. */
export function explainOffsets(
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
    const offsets = offsetsWithoutStrays(model, items, strays, blankLength);
    for (const { covariance, logWeight } of covariances(model, items, strays, shared)) {
      const inverse = invert(covariance, items.length);
      if (!inverse) continue;
      const weighted = multiply(inverse.matrix, offsets);
      const chiSquare = offsets.reduce((sum, d, i) => sum + d * weighted[i]!, 0);
      const base = logWeight - 0.5 * (inverse.logDeterminant + items.length * Math.log(2 * Math.PI));
      without.push(base - 0.5 * chiSquare);
      candidates.forEach(({ index, step }, c) => {
        const own = inverse.matrix[index * items.length + index]!;
        withCandidate[c]!.push(logWithStray(base, chiSquare, own, weighted[index]!, step));
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

/**
 * The log density with one stray more, in closed form: a step taken off its offset, or its variance widened to a
 * slip's. `own` = the inverse covariance's diagonal there, `pull` = its row times the offsets.
 */
function logWithStray(base: number, chiSquare: number, own: number, pull: number, step: number | undefined): number {
  if (step !== undefined) return base - 0.5 * (chiSquare - 2 * step * pull + step ** 2 * own);
  const widened = 1 + slipSize ** 2 * own;
  const eased = (slipSize ** 2 * pull ** 2) / widened;
  return base - 0.5 * Math.log(widened) - 0.5 * (chiSquare - eased);
}

export function offsetsWithoutStrays(
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
function invert(matrix: Float64Array, n: number): { matrix: Float64Array; logDeterminant: number } | undefined {
  const factor = choleskyFactor(matrix, n);
  if (!factor) return undefined;
  let logDeterminant = 0;
  for (let i = 0; i < n; i++) logDeterminant += 2 * Math.log(factor[i * n + i]!);
  return { matrix: choleskyInverse(factor, n), logDeterminant };
}

const multiply = (matrix: Float64Array, vector: Float64Array): Float64Array =>
  vector.map((_, i) => vector.reduce((sum, v, j) => sum + matrix[i * vector.length + j]! * v, 0));

export function logSum(logs: readonly number[]): number {
  const largest = Math.max(-Infinity, ...logs);
  if (largest === -Infinity) return -Infinity;
  return largest + Math.log(logs.reduce((sum, l) => sum + Math.exp(l - largest), 0));
}
