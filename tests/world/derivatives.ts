import type { ResidualBlock } from '../../src/numerics/residual_block.ts';

/**
 * The farthest that a block's own Jacobian lies from central differences of its residuals, as a share of the largest
 * element. `step` = how far each parameter is moved, in its own unit.
 */
export function jacobianMiss(block: ResidualBlock, values: Float64Array, step: (parameter: number) => number): number {
  const width = block.parameters.length;
  const own = new Float64Array(block.size * width);
  block.evaluate(values, new Float64Array(block.size), own);
  const residualsAt = (parameter: number, by: number): Float64Array => {
    const moved = values.slice();
    moved[parameter]! += by;
    const out = new Float64Array(block.size);
    block.evaluate(moved, out, undefined);
    return out;
  };
  let miss = 0;
  for (let i = 0; i < width; i++) {
    const parameter = block.parameters[i]!;
    const h = step(parameter);
    const [ahead, behind] = [residualsAt(parameter, h), residualsAt(parameter, -h)];
    for (let k = 0; k < block.size; k++)
      miss = Math.max(miss, Math.abs((ahead[k]! - behind[k]!) / (2 * h) - own[k * width + i]!));
  }
  return miss / Math.max(...own.map(Math.abs));
}
