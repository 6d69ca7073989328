import { makeProjectionJacobian } from '../geometry/projection_jacobian.ts';
import { heightWeights, openFactor } from '../mat/paper.ts';
import { choleskyFactor } from '../numerics/cholesky.ts';
import { seatCard, seatCardCorners, tagCorners, tagPlace, tagsPerTile } from '../mat/tile.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import type { Tag } from '../vision/tags.ts';
import {
  cameraJacobian,
  type CameraIndex,
  cameraParameterCount,
  cameraParameters,
  fieldParameters,
  projectThrough,
  rotationOf,
} from './camera_block.ts';
import { indices } from './parameters.ts';

/** Where a tile's unknowns stand in the vector. */
export interface TileIndex {
  /** 3: x, y, yaw */
  place: number;
  /** 10: heights at its tags' centres, mm */
  heights: number;
}

/** Cauchy's loss on a tag's eight residuals bites from here, in standard deviations. */
const robust = 8;

/** How a corner's place on the bench hangs on its own unknowns. */
interface CornerPlaces {
  parameters: readonly number[];
  /**
   * At these values: fills corner i's bench point (3) and, row by row, its derivatives by the parameters (3 x count).
   */
  at(values: Float64Array): (i: number, point: Float64Array, by: Float64Array) => void;
}

/**
 * How well a tag's corners are known where they are seen: `sigma` in the photo, pixels; `open` (4 x 4, lower) the
 * factor of what paper between its tags' centres does to their heights, mm.
 */
interface CornerDoubt {
  sigma: number;
  open?: Float64Array;
}

/**
 * Four corners seen in one photo: eight residuals, in the order x, y of each corner, made independent of each other: a
 * square that tilts with its paper shifts all of them together.
 */
function cornersBlock(
  tag: Tag,
  camera: CameraIndex,
  places: CornerPlaces,
  { sigma, open }: CornerDoubt,
): ResidualBlock {
  const projection = makeProjectionJacobian();
  const count = places.parameters.length;
  const point = new Float64Array(3);
  const by = new Float64Array(3 * count);
  const field = fieldColumns(tag, camera);
  const width = cameraParameterCount + count + field.parameters.length;
  const towards = [
    [1 / sigma, 0],
    [0, 1 / sigma],
  ] as const;
  // How the corners' pictures move with their heights, in sigma.
  const byHeight = new Float64Array(8);
  return {
    parameters: [...cameraParameters(camera), ...places.parameters, ...field.parameters],
    size: 8,
    robust,
    evaluate(values, residuals, jacobian) {
      const rotation = rotationOf(values, camera.pose);
      const placeOf = places.at(values);
      for (let i = 0; i < 4; i++) {
        placeOf(i, point, by);
        const ahead = projectThrough(values, camera, rotation, point, projection);
        for (let k = 0; k < 2; k++) {
          residuals[2 * i + k] = ahead ? (projection.pixel[k]! - tag.corners[i]![k as 0]) / sigma : behindCamera;
          byHeight[2 * i + k] = ahead ? projection.byPoint[3 * k + 2]! / sigma : 0;
          if (!jacobian || !ahead) continue;
          const row = (2 * i + k) * width;
          cameraJacobian(values, camera, projection, towards[k as 0], jacobian.subarray(row));
          for (let c = 0; c < 3; c++) {
            const byPoint = projection.byPoint[3 * k + c]! / sigma;
            for (let p = 0; p < count; p++) jacobian[row + cameraParameterCount + p]! += byPoint * by[c * count + p]!;
          }
          const { columns, weight } = field.corners[i]!;
          const at = row + cameraParameterCount + count;
          for (let f = 0; f < 16; f++) jacobian[at + columns[k]![f]!] = weight[f]! / sigma;
        }
      }
      if (open) makeIndependent(open, byHeight, residuals, jacobian);
    },
  };
}

/** A corner behind the camera can only come from a wild step: a residual this huge turns the solver back. */
const behindCamera = 1e6;

/** Takes what the corners' heights have in common out of residuals (8) and Jacobian (8 rows). */
function makeIndependent(
  open: Float64Array,
  byHeight: Float64Array,
  residuals: Float64Array,
  jacobian: Float64Array | undefined,
): void {
  const covariance = new Float64Array(64);
  for (let i = 0; i < 8; i++)
    for (let j = 0; j <= i; j++) {
      let shared = 0;
      for (let k = 0; k <= j >> 1; k++) shared += open[4 * (i >> 1) + k]! * open[4 * (j >> 1) + k]!;
      covariance[8 * i + j] = byHeight[i]! * byHeight[j]! * shared + (i === j ? 1 : 0);
    }
  const factor = choleskyFactor(covariance, 8)!;
  const width = jacobian ? jacobian.length / 8 : 0;
  for (let i = 0; i < 8; i++) {
    const scale = 1 / factor[8 * i + i]!;
    for (let j = 0; j < i; j++) {
      const by = factor[8 * i + j]!;
      if (by === 0) continue;
      residuals[i]! -= by * residuals[j]!;
      for (let c = 0; c < width; c++) jacobian![i * width + c]! -= by * jacobian![j * width + c]!;
    }
    residuals[i]! *= scale;
    for (let c = 0; c < width; c++) jacobian![i * width + c]! *= scale;
  }
}

/**
 * The field's parameters that a tag's corners touch, and for each corner and direction which of them. Taken where the
 * corners were seen: the field's weights change by less than a hundredth over the pixels a fit moves them.
 */
function fieldColumns(tag: Tag, camera: CameraIndex) {
  const parameters: number[] = [];
  const column = new Map<number, number>();
  const columnOf = (parameter: number) => {
    if (!column.has(parameter)) column.set(parameter, parameters.push(parameter) - 1);
    return column.get(parameter)!;
  };
  const corners = tag.corners.map((corner) => {
    const { right, down, weight } = fieldParameters(camera, corner);
    return { columns: [right.map(columnOf), down.map(columnOf)], weight };
  });
  return { parameters, corners };
}

/** What a page's ten heights add at the corners of each of its ten tags; on every page alike. */
const cornerHeights = indices(0, tagsPerTile).map((id) => tagCorners(id)!.map(heightWeights));

/** What the ten heights leave open at the corners of each of a page's ten tags, of heights of 1 mm. */
const cornersOpen = indices(0, tagsPerTile).map((id) => openFactor(tagCorners(id)!));

/**
 * The four corners of one mat tag in one photo: eight whitened residuals. `printScale`: where the print's scale stands.
 * `levels`: how well corners are read, pixels, and how large the paper's waves are, mm.
 */
export function tileTagBlock(
  tag: Tag,
  camera: CameraIndex,
  tile: TileIndex,
  printScale: number,
  { corner, paper }: { corner: number; paper: number },
): ResidualBlock {
  const centre = tagPlace(tag.id)!.centre;
  const open = paper > 0 ? cornersOpen[tag.id % tagsPerTile]!.map((v) => paper * v) : undefined;
  const corners = tagCorners(tag.id)!;
  const weights = cornerHeights[tag.id % tagsPerTile]!;
  const { place, heights } = tile;
  const count = 6 + tagsPerTile;
  return cornersBlock(
    tag,
    camera,
    {
      parameters: [...indices(place, 3), ...indices(printScale, 2), camera.bleed, ...indices(heights, tagsPerTile)],
      at: (values) => {
        const cosine = Math.cos(values[place + 2]!);
        const sine = Math.sin(values[place + 2]!);
        const bleed = values[camera.bleed]!;
        return (i, point, by) => {
          const [u, v] = corners[i]!;
          const eu = Math.sign(u - centre[0]);
          const ev = Math.sign(v - centre[1]);
          const p = values[printScale]! * u - eu * bleed;
          const q = values[printScale + 1]! * v - ev * bleed;
          point[0] = values[place]! + cosine * p - sine * q;
          point[1] = values[place + 1]! + sine * p + cosine * q;
          point[2] = 0;
          for (let k = 0; k < tagsPerTile; k++) point[2]! += weights[i]![k]! * values[heights + k]!;
          by.set([1, 0, -sine * p - cosine * q, cosine * u, -sine * v, -cosine * eu + sine * ev], 0);
          by.set([0, 1, cosine * p - sine * q, sine * u, cosine * v, -sine * eu - cosine * ev], count);
          by.set(weights[i]!, 2 * count + 6);
        };
      },
    },
    { sigma: corner, ...(open && { open }) },
  );
}

/**
 * The four corners of one seat card tag in one photo; `card` = rotation vector and translation, bench from card, then
 * the card's own print scale along and across.
 */
export function cardTagBlock(tag: Tag, camera: CameraIndex, card: number, sigma: number): ResidualBlock {
  const corners = seatCardCorners(tag.id)!;
  const centre = seatCard.centres[seatCard.ids.findIndex((own) => own === tag.id)]!;
  const count = 9;
  return cornersBlock(
    tag,
    camera,
    {
      parameters: [...indices(card, 8), camera.bleed],
      at: (values) => {
        const { matrix: m, partials } = rotationOf(values, card);
        const bleed = values[camera.bleed]!;
        return (i, point, by) => {
          const [u, v] = corners[i]!;
          const eu = Math.sign(u - centre[0]);
          const ev = Math.sign(v - centre[1]);
          const p = values[card + 6]! * u - eu * bleed;
          const q = values[card + 7]! * v - ev * bleed;
          for (let c = 0; c < 3; c++) {
            const byU = m[(3 * c) as 0]!;
            const byV = m[(3 * c + 1) as 0]!;
            point[c] = byU * p + byV * q + values[card + 3 + c]!;
            const row = c * count;
            for (let d = 0; d < 3; d++) {
              const partial = partials[d as 0];
              by[row + d] = partial[(3 * c) as 0]! * p + partial[(3 * c + 1) as 0]! * q;
              by[row + 3 + d] = c === d ? 1 : 0;
            }
            by[row + 6] = byU * u;
            by[row + 7] = byV * v;
            by[row + 8] = -byU * eu - byV * ev;
          }
        };
      },
    },
    { sigma },
  );
}
