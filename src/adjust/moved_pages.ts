import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';
import { robustWeight } from '../numerics/residual_block.ts';
import { covarianceBetween, type JointCovariance } from '../numerics/joint_covariance.ts';
import type { TagSighting } from './mat_problem.ts';
import type { TileIndex } from './tag_block.ts';
import type { PhotoIndex } from '../photo/photo.ts';

/** How far a page seems to lie in one photo from where all others have it, were it free there. */
export interface PageShift {
  photo: PhotoIndex;
  tile: number;
  byMm: number;
}

/**
 * The shift of each page in each photo that the residuals ask for: an unknown place of its own for the page in that
 * photo, added to the solution to first order (the score or Lagrange multiplier test; in geodesy data snooping, Baarda
 * 1968). `covariance` is that of all unknowns without it, so what camera, lens and paper could do instead counts as
 * doubt.
 */
export function pageShifts(
  tags: readonly TagSighting[],
  tiles: ReadonlyMap<number, TileIndex>,
  values: Float64Array,
  covariance: JointCovariance,
): PageShift[] {
  const groups = new Map<string, TagSighting[]>();
  for (const tag of tags) {
    const key = `${tag.photo} ${tag.tile}`;
    groups.set(key, [...(groups.get(key) ?? []), tag]);
  }
  // One square alone is one feature: its own print or a shadow may be at fault.
  return [...groups.values()].flatMap((own) => (own.length >= 2 ? shiftOf(own, tiles, values, covariance) : []));
}

function shiftOf(
  own: readonly TagSighting[],
  tiles: ReadonlyMap<number, TileIndex>,
  values: Float64Array,
  covariance: JointCovariance,
): PageShift[] {
  const { photo, tile } = own[0]!;
  const { place } = tiles.get(tile)!;
  const n = values.length;
  const size = 3;
  const ofPage: PageNormals = {
    gradient: new Float64Array(size),
    normal: new Float64Array(size * size),
    cross: Array.from({ length: size }, () => new Float64Array(n)),
  };
  for (const { block } of own) addNormal(block, place, values, ofPage);
  const { gradient, normal, cross } = ofPage;
  // What is left of the shift's own normal matrix when every other unknown may follow.
  for (let i = 0; i < size; i++)
    for (let j = 0; j <= i; j++) normal[i * size + j]! -= covarianceBetween(covariance, cross[i]!, cross[j]!);
  const factor = choleskyFactor(normal, size);
  if (!factor) return [];
  const [x, y] = choleskySolve(
    factor,
    size,
    gradient.map((g) => -g),
  );
  return [{ photo, tile, byMm: Math.hypot(x!, y!) }];
}

/** Normal equations by a page's own place (three unknowns), and across to all other unknowns, a row each. */
interface PageNormals {
  gradient: Float64Array;
  normal: Float64Array;
  cross: readonly Float64Array[];
}

/** Adds a block's share to them. */
function addNormal(
  block: TagSighting['block'],
  place: number,
  values: Float64Array,
  { gradient, normal, cross }: PageNormals,
): void {
  const width = block.parameters.length;
  const residuals = new Float64Array(block.size);
  const jacobian = new Float64Array(block.size * width);
  block.evaluate(values, residuals, jacobian);
  const first = Array.prototype.indexOf.call(block.parameters, place);
  const weight = robustWeight(block, residuals);
  for (let k = 0; k < block.size; k++) {
    const row = jacobian.subarray(k * width, (k + 1) * width);
    for (let i = 0; i < 3; i++) {
      const left = weight * row[first + i]!;
      gradient[i]! += left * residuals[k]!;
      for (let j = 0; j < 3; j++) normal[i * 3 + j]! += left * row[first + j]!;
      for (let p = 0; p < width; p++) cross[i]![block.parameters[p]!]! += left * row[p]!;
    }
  }
}
