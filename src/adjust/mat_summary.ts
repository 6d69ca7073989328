import { type Camera, makeCamera } from '../geometry/camera.ts';
import type { Vector3 } from '../geometry/vector.ts';
import type { PrintedField } from '../mat/readings.ts';
import { heightWeights, openShare } from '../mat/paper.ts';
import { tagsPerTile, type TilePoint } from '../mat/tile.ts';
import type { JointCovariance } from '../numerics/joint_covariance.ts';
import type { Solution } from '../numerics/least_squares.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { orderStatistic, sigmaByMedian } from '../numerics/robust.ts';
import { type CameraIndex, fieldOf, intrinsicsOf } from './camera_block.ts';
import type { LensProfile } from './lens_profile.ts';
import type { MatProfile } from './mat_profile.ts';
import type { Levels, MatBlocks, MatIndex, MatProblem } from './mat_problem.ts';
import type { TileShape } from './mat_start.ts';
import type { PageShift } from './moved_pages.ts';
import type { PerPhoto, PhotoIndex } from '../photo/photo.ts';

/** Cameras, mat and seat card as the photos and the builder's readings place them. */
export interface MatSolution {
  /** one a photo; undefined where the photo shares no tile with the others */
  cameras: PerPhoto<Camera | undefined>;
  tiles: TileShape[];
  /** true size over nominal size of the print, along and across */
  printScale: { along: number; across: number };
  card?: { rotation: Vector3; centre: Vector3 };
  /** root mean square corner residual per photo, pixels */
  residuals: PerPhoto<number>;
  /** how well corners are read, and how large waves and lens field are, as the residuals bear out */
  levels: Levels;
  /** derivative by `values` of the logarithm of the length that carries the scale: the span where there is one */
  scaleGradient: Float64Array;
  /** whitened residuals of the builder's readings: `check/scale.ts` says from where on they contradict each other */
  readings: Partial<Record<PrintedField | 'span', number>>;
  /** kept lenses that joined in, and those that the photos contradict, which did not */
  lenses: readonly LensProfile[];
  unfitLenses: readonly LensProfile[];
  /** a kept mat: the pages that joined in by it, and those that have moved since, by how much (mm) */
  keptMat?: {
    profile: MatProfile;
    pages: readonly number[];
    moved: readonly { tile: number; byMm: number }[];
    /** it was solved from some of these very photos, so it says nothing new */
    fromThese?: true;
  };
  /** the page that plainly lies differently in one photo than in the others */
  moved: PageShift | undefined;
  /** false when no minimum was reached */
  usable: boolean;
  /** all unknowns, and where they stand */
  values: Float64Array;
  index: MatIndex;
  /** the unknowns that were held */
  constant: ReadonlySet<number>;
  /** covariance of `values`; undefined when the tags do not determine them all */
  covariance: JointCovariance | undefined;
}

/** The adjustment as solved, its levels settled. */
export interface Settled {
  problem: MatProblem;
  blocks: MatBlocks;
  levels: Levels;
  solution: Solution;
  covariance: JointCovariance | undefined;
}

/** What the adjustment found, as plain data. */
export function summarise(
  { problem, blocks, levels, solution, covariance }: Settled,
  moved: PageShift | undefined,
): MatSolution {
  const { index } = problem;
  const { values } = solution;
  const card = index.card;
  return {
    cameras: camerasAt(values, index),
    tiles: [...index.tiles].map(([tile, { place, heights }]) => ({
      tile,
      x: values[place]!,
      y: values[place + 1]!,
      yaw: values[place + 2]!,
      heights: [...values.subarray(heights, heights + tagsPerTile)],
    })),
    printScale: { along: values[index.printScale]!, across: values[index.printScale + 1]! },
    ...(card !== undefined && {
      card: {
        rotation: [values[card]!, values[card + 1]!, values[card + 2]!],
        centre: [values[card + 3]!, values[card + 4]!, values[card + 5]!],
      },
    }),
    residuals: cornerMisses(blocks, values, levels, index.cameras.length).residuals,
    levels,
    scaleGradient: scaleGradient(problem, values),
    readings: Object.fromEntries(problem.readings.map(({ field, block }) => [field, residualsOf(block, values)[0]!])),
    lenses: problem.lenses.flatMap(({ kept }) => kept?.profile ?? []),
    unfitLenses: [],
    moved,
    usable: solution.usable,
    values,
    index,
    constant: problem.held,
    covariance,
  };
}

/**
 * How the length that carries the scale changes: the span, else the distance of the outer pages, else the print along.
 */
function scaleGradient({ index, readings }: MatProblem, values: Float64Array): Float64Array {
  const gradient = new Float64Array(values.length);
  const span = readings.find(({ field }) => field === 'span');
  if (span) {
    const residual = new Float64Array(1);
    const row = new Float64Array(span.block.parameters.length);
    span.block.evaluate(values, residual, row);
    for (const [i, by] of row.entries()) gradient[span.block.parameters[i]!] = (by * span.sigma) / span.length;
    return gradient;
  }
  const places = [...index.tiles.values()].map(({ place }) => place);
  const [a, b] = [places[0]!, places[places.length - 1]!];
  if (a === b) {
    gradient[index.printScale] = 1 / values[index.printScale]!;
    return gradient;
  }
  const [dx, dy] = [values[b]! - values[a]!, values[b + 1]! - values[a + 1]!];
  const square = dx * dx + dy * dy;
  gradient.set([-dx / square, -dy / square], a);
  gradient.set([dx / square, dy / square], b);
  return gradient;
}

/** The cameras at these values. */
export const camerasAt = (values: Float64Array, { cameras }: MatIndex): (Camera | undefined)[] =>
  cameras.map((camera) => camera && cameraFrom(values, camera));

function cameraFrom(values: Float64Array, index: CameraIndex): Camera {
  const q = intrinsicsOf(values, index);
  const { grid, right, down } = fieldOf(values, index);
  return makeCamera(
    {
      focal: q[0]!,
      centre: [q[1]!, q[2]!],
      distortion: [q[3]!, q[4]!, q[5]!, q[6]!, q[7]!],
      field: { grid, right: Array.from(right), down: Array.from(down) },
    },
    {
      rotation: [values[index.pose]!, values[index.pose + 1]!, values[index.pose + 2]!],
      translation: [values[index.pose + 3]!, values[index.pose + 4]!, values[index.pose + 5]!],
    },
  );
}

function residualsOf(block: ResidualBlock, values: Float64Array): Float64Array {
  const residuals = new Float64Array(block.size);
  block.evaluate(values, residuals, undefined);
  return residuals;
}

/**
 * How far corners lie from the fit, pixels: root mean square of each photo, and of all as the median of them tells it.
 */
export function cornerMisses(
  { tags }: MatBlocks,
  values: Float64Array,
  levels: Levels,
  photos: number,
): { residuals: number[]; cornerSigma: number } {
  const perPhoto = Array.from({ length: photos }, () => ({ square: 0, count: 0 }));
  const all: number[] = [];
  for (const { photo, block } of tags) {
    for (const x of residualsOf(block, values)) {
      perPhoto[photo]!.square += (x * levels.corner) ** 2;
      perPhoto[photo]!.count += 1;
      all.push(Math.abs(x) * levels.corner);
    }
  }
  return {
    residuals: perPhoto.map((p) => (p.count ? Math.sqrt(p.square / p.count) : Number.NaN)),
    cornerSigma: sigmaByMedian * (orderStatistic(all, 0.5) ?? 0),
  };
}

/**
 * How far the mat is from flat: the highest and the lowest tag from the mean plane of all, mm, and the page of the
 * farther one.
 */
export function flatness({ tiles }: MatSolution): { within: number; tile: number } {
  const farthest = tiles.map(({ tile, heights }) => ({ within: Math.max(...heights.map(Math.abs)), tile }));
  return farthest.reduce((worst, one) => (one.within > worst.within ? one : worst));
}

/** A place (nominal mm) of a page on the bench, mm. */
export function tilePoint(
  { printScale }: Pick<MatSolution, 'printScale'>,
  tile: TileShape,
  [u, v]: TilePoint,
): Vector3 {
  const [c, s] = [Math.cos(tile.yaw), Math.sin(tile.yaw)];
  const [p, q] = [printScale.along * u, printScale.across * v];
  const weights = heightWeights([u, v]);
  return [
    tile.x + c * p - s * q,
    tile.y + s * p + c * q,
    weights.reduce((sum, weight, i) => sum + weight * tile.heights[i]!, 0),
  ];
}

/** The page whose middle is nearest to a bench place (mm), and where on it that is, nominal mm. */
export function nearestPage({ tiles, printScale }: Pick<MatSolution, 'tiles' | 'printScale'>, x: number, y: number) {
  const local = tiles.map((tile) => {
    const [c, s] = [Math.cos(tile.yaw), Math.sin(tile.yaw)];
    const [dx, dy] = [x - tile.x, y - tile.y];
    return { tile, u: (c * dx + s * dy) / printScale.along, v: (-s * dx + c * dy) / printScale.across };
  });
  return local.reduce((best, one) => (Math.hypot(one.u, one.v) < Math.hypot(best.u, best.v) ? one : best));
}

/** How far white bleeds over a printed square's dark edges in a photo, mm; 0 where its camera is not known. */
export function bleedIn({ index, values }: Pick<MatSolution, 'index' | 'values'>, photo: PhotoIndex): number {
  const camera = index.cameras[photo];
  return camera ? values[camera.bleed]! : 0;
}

/**
 * The paper's height over the bench's z = 0 at a bench place (mm), with its standard uncertainty: of the nearest page.
 */
export function paperHeight(mat: Pick<MatSolution, 'tiles' | 'printScale' | 'levels'>, x: number, y: number) {
  const { tile, u, v } = nearestPage(mat, x, y);
  const weights = heightWeights([u, v]);
  return {
    value: weights.reduce((sum, weight, i) => sum + weight * tile.heights[i]!, 0),
    u: mat.levels.paper * Math.sqrt(openShare([u, v])),
  };
}
