import { basisAt, type UniformSpline } from '../geometry/spline.ts';
import { addScaled } from '../geometry/vector.ts';
import { cameraCentre } from '../geometry/camera.ts';
import { robustWeight, type ResidualBlock } from '../numerics/residual_block.ts';
import type { PhotoIndex } from '../photo/photo.ts';
import { outlineDirection } from '../vision/outline.ts';
import { tipRimDirection } from '../vision/tip.ts';
import type { BlankSolution } from './blank_adjustment.ts';
import { outlineBlock, stationAt, tipBlock } from './blank_model.ts';
import type { MatSolution } from './mat_summary.ts';
import { addPictureRow, sightOf } from './propagation.ts';

/**
 * How the blank, which is fitted with cameras and mat held, moves with them: each derivative is by all of the mat's
 * parameters, mm. By the implicit function theorem at the blank's own minimum, its edges staying where they were seen.
 */
export interface BlankByMat {
  /** the tip's place along the lane; absent where something else tells where distances begin */
  tip?: Float64Array;
  /** the axis's shift across the lane and its height over the bench, at an arc length from the tip */
  sideAt: (along: number) => Float64Array;
  heightAt: (along: number) => Float64Array;
}

/** What of the blank's fit that hangs on. */
type FittedBlank = Pick<BlankSolution, 'covariance' | 'model' | 'values' | 'evidence'>;

/** Undefined where the photos do not determine the blank. `fromTip`: its own end is what distances are counted from. */
export function blankByMat(mat: MatSolution, blank: FittedBlank, fromTip: boolean): BlankByMat | undefined {
  const { covariance, model, values } = blank;
  if (!covariance) return undefined;
  const pull = pullOfPictures(mat, blank);
  const n = values.length;
  const row = (weights: readonly (readonly [at: number, weight: number])[]): Float64Array => {
    const out = new Float64Array(mat.values.length);
    for (let k = 0; k < n; k++) {
      const own = pull[k];
      if (!own) continue;
      const by = weights.reduce((sum, [at, weight]) => sum + weight * covariance[at * n + k]!, 0);
      for (let i = 0; i < out.length; i++) out[i]! -= by * own[i]!;
    }
    return out;
  };
  const splineRow = (spline: UniformSpline, offset: number, t: number) => {
    const { first, weights } = basisAt(spline, t);
    return row(weights.map((weight, i) => [offset + first + i, weight] as const));
  };
  const start = values[model.tip]!;
  return {
    ...(fromTip && blank.evidence.tips.length > 0 && { tip: row([[model.tip, 1]]) }),
    sideAt: (along) => splineRow(model.spline, model.side, start + along),
    heightAt: (along) => splineRow(model.spline, model.height, start + along),
  };
}

/**
 * What the edges' misses, each by its weight and its derivative by one of the blank's unknowns, change by with each of
 * the mat's parameters: a row an unknown, undefined where no edge hangs on it.
 */
function pullOfPictures(mat: MatSolution, { model, values, evidence }: FittedBlank): (Float64Array | undefined)[] {
  const rows: (Float64Array | undefined)[] = Array.from({ length: values.length });
  const add = (block: ResidualBlock, photo: PhotoIndex, seen: Edge) => {
    const sight = sightOf(mat, photo, seen.point);
    if (!sight) return;
    const residuals = new Float64Array(block.size);
    const jacobian = new Float64Array(block.parameters.length);
    block.evaluate(values, residuals, jacobian);
    const weight = robustWeight(block, residuals) / seen.sigma;
    for (let i = 0; i < jacobian.length; i++) {
      if (jacobian[i] === 0) continue;
      const at = block.parameters[i]!;
      const own = (rows[at] ??= new Float64Array(mat.values.length));
      const by = weight * jacobian[i]!;
      addPictureRow(sight, by * seen.normal[0], by * seen.normal[1], own);
    }
  };
  const { edgeSigma } = evidence.problem;
  for (const [photo, points] of evidence.points.entries()) {
    const camera = mat.cameras[photo];
    if (!camera) continue;
    for (const point of points) {
      const station = stationAt(model, values, point.t);
      const out = outlineDirection(station, cameraCentre(camera), point.side);
      const edge = { point: addScaled(station.point, out, station.radius), normal: point.normal, sigma: edgeSigma };
      add(outlineBlock(model, camera, point, edgeSigma), photo, edge);
    }
  }
  const end = stationAt(model, values, values[model.tip]!);
  for (const { photo, point } of evidence.tips) {
    const camera = mat.cameras[photo]!;
    const rim = addScaled(end.point, tipRimDirection(end, cameraCentre(camera)), end.radius);
    add(tipBlock(model, camera, point, values[model.tip]!), photo, { ...point, point: rim });
  }
  return rows;
}

/** A point of the blank whose edge a photo shows: bench frame, the edge's normal and its standard deviation, pixels. */
interface Edge {
  point: Parameters<typeof sightOf>[2];
  normal: readonly [number, number];
  sigma: number;
}
