import { dot, type Vector3 } from '../geometry/vector.ts';
import { makeProjectionJacobian, projectWithJacobian } from '../geometry/projection_jacobian.ts';
import type { BlankSolution } from './blank_adjustment.ts';
import { stationAt } from './blank_model.ts';
import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';
import { expectedCorner } from './mat_problem.ts';
import type { MatSolution } from './mat_summary.ts';
import { cameraJacobian, cameraParameterCount, cameraParameters, intrinsicsOf, rotationOf } from './tag_block.ts';

/**
 * How doubt in cameras, tiles and print scale reaches a place on the blank: first-order propagation (JCGM 100:2008, 5.1)
 * of the mat adjustment's covariance through the intersection of rays that gives the place, and through the tip it is
 * counted from.
 */
export interface MatDoubt {
  /** covariance of the mat's parameters, n x n */
  covariance: Float64Array;
  n: number;
  /** derivative of the tip's place along the axis by each parameter, mm */
  tipByParameter: Float64Array;
}

/** Undefined when the tags do not determine the mat's parameters. */
export function matDoubt(mat: MatSolution, blank: BlankSolution): MatDoubt | undefined {
  const n = mat.values.length;
  if (!mat.covariance) return undefined;
  // Where the corners fit worse than they are read (waves in the paper, a lens unlike the model), all of it is worth less.
  const worse = Math.max(1, mat.cornerSigma / expectedCorner) ** 2;
  const covariance = mat.covariance.map((v) => v * worse);
  const tip = stationAt(blank.model, blank.values, blank.values[blank.model.tip]!);
  const tipByParameter = new Float64Array(n);
  for (const photo of blank.tipPhotos) {
    const along = alongDerivative(mat, photo, tip.point, tip.along);
    if (!along) continue;
    for (const [parameter, value] of along) tipByParameter[parameter]! += value / blank.tipPhotos.length;
  }
  return { covariance, n, tipByParameter };
}

/** How a point that slides along the axis moves (mm) with the camera's parameters when its picture stays. */
function alongDerivative(
  mat: MatSolution,
  photo: number,
  point: Vector3,
  along: Vector3,
): Map<number, number> | undefined {
  const seen = sight(mat, photo, point);
  if (!seen) return undefined;
  const by = [0, 1].map((k) => dot(along, [seen.byPoint[3 * k]!, seen.byPoint[3 * k + 1]!, seen.byPoint[3 * k + 2]!]));
  const square = by[0]! ** 2 + by[1]! ** 2;
  const out = new Map<number, number>();
  for (let i = 0; i < cameraParameterCount; i++) {
    const k = (by[0]! * seen.byCamera[i]! + by[1]! * seen.byCamera[cameraParameterCount + i]!) / square;
    out.set(seen.parameters[i]!, (out.get(seen.parameters[i]!) ?? 0) - k);
  }
  return out;
}

function sight(
  mat: MatSolution,
  photo: number,
  point: Vector3,
): { byPoint: Float64Array; byCamera: Float64Array; parameters: number[] } | undefined {
  const index = mat.index.cameras[photo];
  if (!index) return undefined;
  const values = mat.values;
  const projection = makeProjectionJacobian();
  const translation = values.subarray(index.pose + 3, index.pose + 6);
  if (!projectWithJacobian(intrinsicsOf(values, index), rotationOf(values, index.pose), translation, point, projection))
    return undefined;
  const byCamera = new Float64Array(2 * cameraParameterCount);
  cameraJacobian(values, index, projection, 1, 0, byCamera, 0);
  cameraJacobian(values, index, projection, 0, 1, byCamera, cameraParameterCount);
  return { byPoint: Float64Array.from(projection.byPoint), byCamera, parameters: cameraParameters(index) };
}

export interface PlaceDoubt {
  /** standard uncertainty along the axis from cameras, tiles and scale together, mm */
  geometry: number;
  /** along the axis from the rays' own crossing, its height known beforehand to `heightSigma` only, mm */
  crossing: number;
}

/**
 * Doubt of a place (bench, mm) seen in these photos, along the direction `along`; `heightSigma` = what is known of its
 * height beforehand, mm; `pixelSigma` = how well it is read in each photo.
 */
export function placeDoubt(
  mat: MatSolution,
  doubt: MatDoubt,
  point: Vector3,
  along: Vector3,
  photos: readonly number[],
  heightSigma: number,
  pixelSigma: number,
): PlaceDoubt {
  const info = new Float64Array(9);
  info[8] = 1 / heightSigma ** 2;
  const sights = photos.flatMap((photo) => sight(mat, photo, point) ?? []);
  for (const seen of sights)
    for (let k = 0; k < 2; k++)
      for (let i = 0; i < 3; i++)
        for (let j = 0; j < 3; j++)
          info[3 * i + j]! += (seen.byPoint[3 * k + i]! * seen.byPoint[3 * k + j]!) / pixelSigma ** 2;
  const factor = choleskyFactor(info, 3);
  if (!factor) return { geometry: Number.POSITIVE_INFINITY, crossing: Number.POSITIVE_INFINITY };
  // along' M^-1, so that one pass over the sights gives the derivative by every parameter.
  const lever = choleskySolve(factor, 3, Float64Array.from(along));
  const gradient = doubt.tipByParameter.map((v) => -v);
  for (const seen of sights) {
    for (let k = 0; k < 2; k++) {
      const weight =
        (lever[0]! * seen.byPoint[3 * k]! +
          lever[1]! * seen.byPoint[3 * k + 1]! +
          lever[2]! * seen.byPoint[3 * k + 2]!) /
        pixelSigma ** 2;
      for (let i = 0; i < cameraParameterCount; i++)
        gradient[seen.parameters[i]!]! -= weight * seen.byCamera[k * cameraParameterCount + i]!;
    }
  }
  const crossing = along[0] * lever[0]! + along[1] * lever[1]! + along[2] * lever[2]!;
  return { geometry: Math.sqrt(quadratic(doubt, gradient)), crossing: Math.sqrt(crossing) };
}

function quadratic({ covariance, n }: MatDoubt, g: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < n; i++) {
    if (g[i] === 0) continue;
    for (let j = 0; j < n; j++) sum += g[i]! * covariance[i * n + j]! * g[j]!;
  }
  return Math.max(sum, 0);
}

/**
 * Relative standard uncertainty of lengths along the mat: of the distance between its outer tiles, or of the print scale
 * along where there is one tile only.
 */
export function scaleDoubt(mat: MatSolution, { covariance, n }: MatDoubt): number {
  const first = mat.tiles[0]!;
  const last = mat.tiles[mat.tiles.length - 1]!;
  const print = Math.sqrt(covariance[mat.index.printScale * n + mat.index.printScale]!) / mat.printScale.along;
  if (mat.tiles.length === 1) return print;
  const g = new Float64Array(n);
  const [dx, dy] = [last.x - first.x, last.y - first.y];
  const distance = Math.hypot(dx, dy);
  const [a, b] = [mat.index.tiles.get(first.tile)!, mat.index.tiles.get(last.tile)!];
  g[a]! -= dx / distance;
  g[a + 1]! -= dy / distance;
  g[b]! += dx / distance;
  g[b + 1]! += dy / distance;
  return Math.sqrt(quadratic({ covariance, n, tipByParameter: g }, g)) / distance;
}
