import { type Camera, makeCamera } from '../geometry/camera.ts';
import type { Vector3 } from '../geometry/vector.ts';
import { parameterCovariance, type ResidualBlock, type Solution } from '../numerics/least_squares.ts';
import { allBlocks, type MatIndex, type MatProblem, sigmas } from './mat_problem.ts';
import type { TilePlace } from './mat_start.ts';
import { type MovedPage, movedPages } from './moved_pages.ts';
import { type CameraIndex, intrinsicsOf } from './tag_block.ts';

/** Cameras, mat and seat card as the photos and the builder's readings place them. */
export interface MatSolution {
  /** one a photo; undefined where the photo shares no tile with the others */
  cameras: (Camera | undefined)[];
  tiles: TilePlace[];
  /** true size over nominal size of the print, along and across */
  printScale: { along: number; across: number };
  card?: { rotation: Vector3; centre: Vector3 };
  /** root mean square corner residual per photo, pixels */
  residuals: number[];
  /** tag corners' own standard deviation as the fit shows it, pixels */
  cornerSigma: number;
  /** whitened residuals of the builder's readings: above 3 they contradict each other */
  readings: { barAlong?: number; barAcross?: number; span?: number };
  /** tiles that lie differently in one photo than in the others: something moved */
  moved: MovedPage[];
  /** false when no minimum was reached */
  usable: boolean;
  /** all unknowns, and where they stand */
  values: Float64Array;
  index: MatIndex;
  /** the unknowns that were held */
  constant: ReadonlySet<number>;
  /** covariance of `values`, row by row; undefined when the tags do not determine them all */
  covariance: Float64Array | undefined;
}

/** What the adjustment found, as plain data. */
export function summarise(problem: MatProblem, solution: Solution): MatSolution {
  const { index, parameters, tags } = problem;
  const { values } = solution;
  const card = index.card;
  return {
    cameras: camerasAt(values, index),
    tiles: [...index.tiles].map(([tile, at]) => ({
      tile,
      x: values[at]!,
      y: values[at + 1]!,
      yaw: values[at + 2]!,
    })),
    printScale: { along: values[index.printScale]!, across: values[index.printScale + 1]! },
    ...(card !== undefined && {
      card: {
        rotation: [values[card]!, values[card + 1]!, values[card + 2]!],
        centre: [values[card + 3]!, values[card + 4]!, values[card + 5]!],
      },
    }),
    ...cornerMisses(problem, values),
    readings: Object.fromEntries(
      Object.entries(problem.readings).map(([name, block]) => [name, residualsOf(block, values)[0]!]),
    ),
    moved: movedPages(tags, values, index.cameras.length),
    usable: solution.usable,
    values,
    index,
    constant: parameters.constant,
    covariance: parameterCovariance(allBlocks(problem), values, parameters.constant),
  };
}

/** The cameras at these values. */
export const camerasAt = (values: Float64Array, { cameras }: MatIndex): (Camera | undefined)[] =>
  cameras.map((camera) => camera && cameraFrom(values, camera));

function cameraFrom(values: Float64Array, index: CameraIndex): Camera {
  const q = intrinsicsOf(values, index);
  return makeCamera(
    { focal: q[0]!, centre: [q[1]!, q[2]!], distortion: [q[3]!, q[4]!, q[5]!, q[6]!, q[7]!] },
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

function cornerMisses(
  { tags, index }: MatProblem,
  values: Float64Array,
): Pick<MatSolution, 'residuals' | 'cornerSigma'> {
  const perPhoto = index.cameras.map(() => ({ square: 0, count: 0 }));
  const all: number[] = [];
  for (const { photo, block } of tags) {
    for (const x of residualsOf(block, values)) {
      perPhoto[photo]!.square += (x * sigmas.corner) ** 2;
      perPhoto[photo]!.count += 1;
      all.push(Math.abs(x) * sigmas.corner);
    }
  }
  all.sort((a, b) => a - b);
  return {
    residuals: perPhoto.map((p) => (p.count ? Math.sqrt(p.square / p.count) : Number.NaN)),
    cornerSigma: Math.max(1.4826 * (all[all.length >> 1] ?? 0), 0.03),
  };
}
