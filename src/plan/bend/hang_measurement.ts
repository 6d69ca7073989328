import { solveBend } from './elastica.ts';
import { type HangTest, refuseImpossibleDrops } from './hung_weight.ts';
import { InputError } from '../input_error.ts';
import { parameterCovariance, solveLeastSquares } from '../../numerics/least_squares.ts';
import { differencedBlock } from '../../numerics/residual_block.ts';
import { varianceFactor } from '../../numerics/variance_components.ts';
import type { Stiffness } from './stiffness.ts';
import { type DiameterStation, sectionAt } from '../taper.ts';

export interface FittedStiffness {
  stiffness: Stiffness;
  /** EI = coefficient (D / 1 mm)^exponent, N mm^2 */
  exponent: number;
  exponentUncertainty: number;
  /** standard uncertainty of EI as a share of it, where the diameter is middling */
  relativeUncertainty: number;
  /** measured less fitted drop at each place, mm */
  residuals: number[];
}

const nodes = 100;

/** Drop (mm) of a level blank under a weight (N) on its tip at each place; large deflections. */
export function dropsUnderWeight(stiffness: Stiffness, { weight, clampAt, drops }: HangTest): number[] {
  const { points } = solveBend({ stiffness, clampAt, load: { tension: weight, pullAngle: 90 } }, nodes);
  return drops.map(({ at }) => {
    const after = Math.min(
      Math.max(
        points.findIndex((point) => point.s >= at),
        1,
      ),
      points.length - 1,
    );
    const [a, b] = [points[after - 1]!, points[after]!];
    const h = b.s - a.s;
    const t = (at - a.s) / h;
    // cubic through heights and slopes: the blank climbs toward the clamp by -sin(theta) a millimetre
    const [ma, mb] = [-Math.sin(a.theta) * h, -Math.sin(b.theta) * h];
    const climb = b.y - a.y;
    const y = a.y + t * (ma + t * (3 * climb - 2 * ma - mb + t * (ma + mb - 2 * climb)));
    return -y;
  });
}

/**
 * Fits EI = coefficient D^exponent to a hang test by least squares on the drops: a solid cone has exponent 4, a thin
 * wall 3, and wall or weave that change along the blank move it. Two numbers from three or more drops, so one or more
 * are left to tell how well the law holds. Throws InputError where the drops cannot carry it.
 */
export function fitHangTest(stations: readonly DiameterStation[], test: HangTest): FittedStiffness {
  const { drops, clampAt, weight } = test;
  const places = new Set(drops.map((drop) => drop.at));
  if (places.size < 3) throw new InputError('The hang test needs the drop at three or more places; measure at more.');
  for (const { at, drop } of drops) {
    if (!(at >= 0 && at < clampAt)) {
      throw new InputError(
        `The hang test has a drop ${at.toFixed(0)} mm from the tip, which is not between tip and clamp; correct it.`,
      );
    }
    if (!(drop > 0))
      throw new InputError(`The drop ${at.toFixed(0)} mm from the tip must be above 0; measure it again.`);
    if (!(drop < clampAt - at))
      throw new InputError(
        `The drop ${at.toFixed(0)} mm from the tip is longer than the blank up to the clamp; measure it again.`,
      );
  }
  if (!(weight > 0)) throw new InputError('The weight of the hang test must be above 0; weigh it.');
  refuseImpossibleDrops(test);
  const tip = sectionAt(stations, 0).diameter;
  const butt = sectionAt(stations, clampAt).diameter;
  if (!(Math.abs(butt / tip - 1) > 0.05)) {
    throw new InputError('The hang test cannot be fitted to a blank of one diameter; give diameters along it.');
  }
  const middle = Math.sqrt(tip * butt);
  const lawOf = ([logStiffness, exponent]: readonly number[]): Stiffness => ({
    stations,
    law: { kind: 'power', coefficient: Math.exp(logStiffness! - exponent! * Math.log(middle)), exponent: exponent! },
  });
  const measured = drops.map(({ drop }) => drop);
  const residual = (p: readonly number[]) => {
    // a cone so soft or so odd that its bend cannot be followed is no candidate
    try {
      return dropsUnderWeight(lawOf(p), test).map((drop, i) => drop - measured[i]!);
    } catch (error) {
      if (error instanceof InputError) return measured.map(() => 1e9);
      throw error;
    }
  };
  const blocks = [differencedBlock(residual, drops.length, [1e-3, 1e-3])];
  const { values, usable } = solveLeastSquares(blocks, Float64Array.from(startFrom(stations, test, middle)));
  const scatter = varianceFactor(blocks, values, 2);
  const covariance = usable ? parameterCovariance(blocks, values)?.map((v) => v * scatter) : undefined;
  if (!covariance) {
    throw new InputError('No stiffness fits the drops of the hang test; check the weight and measure the drops again.');
  }
  const parameters = [...values];
  return {
    stiffness: lawOf(parameters),
    exponent: parameters[1]!,
    exponentUncertainty: Math.sqrt(covariance[3]!),
    relativeUncertainty: Math.sqrt(covariance[0]!),
    residuals: residual(parameters).map((value) => -value),
  };
}

/** A start with exponent 3.5 whose EI brings the largest drop out right, by halving of its logarithm. */
function startFrom(stations: readonly DiameterStation[], test: HangTest, middle: number): number[] {
  const exponent = 3.5;
  const largest = test.drops.reduce((a, b) => (b.drop > a.drop ? b : a));
  const dropFor = (logStiffness: number) => {
    const law = { kind: 'power' as const, coefficient: Math.exp(logStiffness - exponent * Math.log(middle)), exponent };
    try {
      return dropsUnderWeight({ stations, law }, { ...test, drops: [largest] })[0]!;
    } catch (error) {
      // a blank so soft that its bend cannot be followed has gone down too far
      if (error instanceof InputError) return Number.POSITIVE_INFINITY;
      throw error;
    }
  };
  // stiff enough to be all but straight, then softer until the drop is passed
  let stiff = Math.log(100 * test.weight * test.clampAt ** 2);
  while (dropFor(stiff - 0.5) < largest.drop) stiff -= 0.5;
  let soft = stiff - 0.5;
  while (stiff - soft > 1e-3) {
    const between = (stiff + soft) / 2;
    if (dropFor(between) < largest.drop) stiff = between;
    else soft = between;
  }
  return [stiff, exponent];
}
