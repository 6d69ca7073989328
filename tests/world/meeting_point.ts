import { type Camera, project } from '../../src/geometry/camera.ts';
import type { Pixel, Vector3 } from '../../src/geometry/vector.ts';
import { solveLeastSquares } from '../../src/numerics/least_squares.ts';
import type { ResidualBlock } from '../../src/numerics/residual_block.ts';

/**
 * The point whose pictures lie nearest to those seen (`sigma` pixels each), its height known to be `height` within
 * `heightSigma` beforehand; mm.
 */
export function meetingPoint(
  views: readonly { camera: Camera; pixel: Pixel }[],
  start: Vector3,
  heightSigma: number,
  sigma = 0.3,
): Vector3 {
  const block: ResidualBlock = {
    parameters: [0, 1, 2],
    size: 2 * views.length + 1,
    evaluate(values, residuals, jacobian) {
      const at = (dx: number, dy: number, dz: number): Vector3 => [values[0]! + dx, values[1]! + dy, values[2]! + dz];
      views.forEach(({ camera, pixel }, i) => {
        const q = project(camera, at(0, 0, 0))!;
        const steps = [
          project(camera, at(1e-3, 0, 0))!,
          project(camera, at(0, 1e-3, 0))!,
          project(camera, at(0, 0, 1e-3))!,
        ];
        for (const k of [0, 1] as const) {
          residuals[2 * i + k] = (q[k] - pixel[k]) / sigma;
          if (jacobian) steps.forEach((s, j) => (jacobian[3 * (2 * i + k) + j] = (s[k] - q[k]) / 1e-3 / sigma));
        }
      });
      residuals[2 * views.length] = (values[2]! - start[2]) / heightSigma;
      if (jacobian) jacobian[3 * 2 * views.length + 2] = 1 / heightSigma;
    },
  };
  const { values } = solveLeastSquares([block], Float64Array.from(start));
  return [values[0]!, values[1]!, values[2]!];
}
