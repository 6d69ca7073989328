import { expect, test } from 'vitest';
import { blankByMat } from '../../src/adjust/blank_by_mat.ts';
import { outlineBlock, tipBlock } from '../../src/adjust/blank_model.ts';
import { outlineSigma } from '../../src/adjust/blank_problem.ts';
import { camerasAt, type MatSolution } from '../../src/adjust/mat_summary.ts';
import { splineValue } from '../../src/geometry/spline.ts';
import { parameterCovariance, solveLeastSquares } from '../../src/numerics/least_squares.ts';
import { edges, mat, problem } from '../world/read_outlines.ts';

/** The blank as these cameras have it, its edges staying where they were seen. */
function fitted({ cameras }: Pick<MatSolution, 'cameras'>) {
  const { model, priors } = problem;
  const blocks = (values: Float64Array) => [
    ...priors,
    ...edges.points.flatMap((own, i) =>
      own.map((point) => outlineBlock(model, cameras[i]!, point, outlineSigma.together)),
    ),
    ...edges.tips.map(({ photo, point }) => tipBlock(model, cameras[photo]!, point, values[model.tip]!)),
  ];
  let { values } = problem;
  for (let round = 0; round < 4; round++) values = solveLeastSquares(blocks(values), values).values;
  return { model, values, covariance: parameterCovariance(blocks(values), values, new Set()) };
}

test('the blank moves with cameras and lens as a new fit to the same edges says', () => {
  const own = fitted(mat);
  const by = blankByMat(mat, { ...own, evidence: { ...edges, problem, astray: 0 } }, true)!;
  const at = 250;
  const start = own.values[own.model.tip]!;
  const read = ({ model, values }: typeof own) => ({
    tip: values[model.tip]!,
    side: splineValue(model.spline, values, model.side, start + at),
    height: splineValue(model.spline, values, model.height, start + at),
  });
  const predicted = { tip: by.tip!, side: by.sideAt(at), height: by.heightAt(at) };
  const { pose, lens, own: ownLens } = mat.index.cameras[1]!;
  // Each in its own unit: radians, mm, pixels of focal length and centre, a share of a photo’s own focal length.
  const steps: [number, number][] = [
    [pose, 1e-4],
    [pose + 1, 1e-4],
    [pose + 3, 0.05],
    [pose + 4, 0.05],
    [pose + 5, 0.05],
    [lens, 0.2],
    [lens + 1, 0.2],
    [ownLens, 1e-4],
  ];
  let largest = 0;
  for (const [parameter, step] of steps) {
    const moved = [step, -step].map((by) => {
      const values = Float64Array.from(mat.values);
      values[parameter]! += by;
      return read(fitted({ cameras: camerasAt(values, mat.index) }));
    });
    const kinds = ['tip', 'side', 'height'] as const;
    const changes = kinds.map((kind) => (moved[0]![kind] - moved[1]![kind]) / 2);
    const most = Math.max(...changes.map(Math.abs));
    largest = Math.max(largest, most);
    // Edges that lie off count less, and less again as they move: to a tenth of what moves most.
    for (const [i, kind] of kinds.entries())
      expect(Math.abs(step * predicted[kind][parameter]! - changes[i]!), `${kind} by ${parameter}`).toBeLessThan(
        0.1 * most + 1e-4,
      );
  }
  expect(largest).toBeGreaterThan(0.01);
});
