import { type Camera, poseLooking } from '../geometry/camera.ts';
import { fieldSize } from '../geometry/lens_field.ts';
import type { Vector3 } from '../geometry/vector.ts';
import { tagPlace, tagsPerTile } from '../mat/tile.ts';
import { choleskyFactor, choleskySolve, inverseOfPositive } from '../numerics/cholesky.ts';
import { addColumns, makeColumns, splitColumns } from '../numerics/block_columns.ts';
import {
  covarianceAt,
  covarianceBetween,
  covarianceWithEach,
  type JointCovariance,
} from '../numerics/joint_covariance.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { makeZeroed } from '../numerics/zeroed.ts';
import type { PhotoIndex } from '../photo/photo.ts';
import type { Tag } from '../vision/tags.ts';
import type { CameraIndex } from './camera_block.ts';
import { sigmas } from './mat_cameras.ts';
import { camerasAt, type MatSolution } from './mat_summary.ts';
import { pictured, pictureOf, type Square, squaresOf } from './pictured_squares.ts';
import { indices } from './parameters.ts';
import type { Covariance, MatPlaces } from './propagation.ts';
import { cardTagBlock, tileTagBlock } from './tag_block.ts';

/** Where a further photo is taken from, and what it is aimed at: bench frame, mm. */
export interface Stance {
  eye: Vector3;
  target: Vector3;
}

/** A photo that was not taken yet: what the mat's parameters would be known to with it. */
export interface FurtherPhoto {
  /** the mat with the photo's own unknowns after all others */
  mat: MatPlaces;
  /** its place after all others */
  photo: PhotoIndex;
  camera: Camera;
  /** of all parameters, the photo's own included, as its squares would leave them: worked out when first asked for */
  covariance: Covariance;
  /** squares in it, upper row and lower row, and of the seat card */
  squares: { upper: number; lower: number; card: number };
}

/** Own unknowns of a photo: change of focal length and centre (3), pose (6), bleeding (1). */
const ownCount = 10;

/**
 * What each of some further photos would add to what is known of cameras, lens and pages, without solving anew: the
 * information in its squares is added to that of the adjustment (Förstner, Wrobel, "Photogrammetric Computer Vision",
 * 2016, 4.2.7: sequential estimation), its own pose unknown beforehand. They are taken with the lens of photo `like`,
 * held as it was. Undefined where too few squares would show to place the photo, or fewer than `leastSquares` of either
 * row; empty where the mat's covariance is not known.
 */
export function furtherPhotos(
  mat: MatSolution,
  like: PhotoIndex,
  stances: readonly Stance[],
  leastSquares = 0,
): (FurtherPhoto | undefined)[] {
  const { covariance } = mat;
  if (!covariance) return [];
  const all = squaresOf(mat);
  const seen = stances.map((stance) => {
    const own = observe(mat, all, like, stance);
    const enough = own && own.shown.length > 0 && Math.min(own.squares.upper, own.squares.lower) >= leastSquares;
    return enough ? own : undefined;
  });
  const before = once(() => knownBefore(mat, covariance, seen));
  return seen.map(
    (own) =>
      own && {
        mat: own.places,
        photo: own.photo,
        camera: own.camera,
        squares: own.squares,
        covariance: covarianceWith(once(() => withSquares(mat, own, before()))),
      },
  );
}

/** What a function answers, asked of it once and not before it is wanted. */
function once<T>(ask: () => T): () => T {
  let answered: { answer: T } | undefined;
  return () => (answered ??= { answer: ask() }).answer;
}

/** The parameters that squares of these photos touch, and what is known of them without. */
function knownBefore(
  { index, constant }: MatSolution,
  covariance: JointCovariance,
  seen: readonly (Observed | undefined)[],
): Before {
  const touches = new Set<number>();
  const touch = (first: number, count: number) => indices(first, count).forEach((p) => touches.add(p));
  touch(index.printScale, 2);
  for (const own of seen) {
    if (!own) continue;
    const { lens, field } = own.index;
    touch(lens, 8);
    touch(field.at, 2 * fieldSize(field.grid));
    if (own.squares.card > 0) touch(index.card!, 8);
    for (const tile of new Set(own.shown.flatMap((square) => square.tile ?? []))) {
      const { place, heights } = index.tiles.get(tile)!;
      touch(place, 3);
      touch(heights, tagsPerTile);
    }
  }
  const touched = [...touches].filter((p) => !constant.has(p)).sort((a, b) => a - b);
  const t = touched.length;
  // its lower half is enough
  const shared = new Float64Array(t * t);
  for (let i = 0; i < t; i++)
    for (let j = 0; j <= i; j++) shared[i * t + j] = covarianceAt(covariance, touched[i]!, touched[j]!);
  return { covariance, touched, information: inverseOfPositive(shared, t) };
}

interface Observed {
  places: MatPlaces;
  photo: PhotoIndex;
  camera: Camera;
  index: CameraIndex;
  /** the squares that show, with their corners in the picture */
  shown: { tile: number | undefined; tag: Tag }[];
  squares: FurtherPhoto['squares'];
}

/** The squares that a photo from there would show; undefined where its lens is not known. */
function observe(
  mat: MatSolution,
  all: readonly Square[],
  like: PhotoIndex,
  { eye, target }: Stance,
): Observed | undefined {
  const model = mat.index.cameras[like];
  const taken = mat.cameras[like];
  if (!model || !taken) return undefined;
  const n = mat.values.length;
  const { matrix } = taken;
  const pose = poseLooking(eye, target, [matrix[0], matrix[1], 0]);
  const camera: CameraIndex = { ...model, own: n, pose: n + 3, bleed: n + 9 };
  const own = [0, 0, 0, ...pose.rotation, ...pose.translation, mat.values[model.bleed]!];
  const values = new Float64Array(n + ownCount);
  values.set(mat.values);
  values.set(own, n);
  const gradient = new Float64Array(n + ownCount);
  gradient.set(mat.scaleGradient);
  const places: MatPlaces = {
    values,
    index: { ...mat.index, cameras: [...mat.index.cameras, camera] },
    scaleGradient: gradient,
  };
  const lens = camerasAt(values, { ...places.index, cameras: [camera] })[0]!;
  const squares = { upper: 0, lower: 0, card: 0 };
  const shown: Observed['shown'] = [];
  for (const { id, tile, points } of all) {
    const tag = pictured(id, points, lens, camera.field.grid);
    if (!tag) continue;
    shown.push({ tile, tag });
    if (tile === undefined) squares.card++;
    else squares[tagPlace(id)!.row === 'top' ? 'upper' : 'lower']++;
  }
  return { places, photo: mat.index.cameras.length, camera: lens, index: camera, shown, squares };
}

/** Whether a further photo shows a bench point (mm). */
export const isInPicture = ({ mat, photo, camera }: FurtherPhoto, point: Vector3): boolean =>
  pictureOf(camera, mat.index.cameras[photo]!.field.grid, point) !== undefined;

/** What was known of the parameters that any of the photos touches. */
interface Before {
  covariance: JointCovariance;
  touched: readonly number[];
  /** inverse of their covariance; undefined where they are not all determined */
  information: Float64Array | undefined;
}

/** A function of the parameters, by its derivatives: the touched ones' share, and what the new squares make of it. */
interface Split {
  old: Float64Array;
  shared: Float64Array;
  by: Float64Array;
  carried: Float64Array;
}

/** How the parameters' covariance falls with a photo's squares: what each function of them leaves, and is worth. */
interface Foreseen {
  before: JointCovariance;
  split: (g: Float64Array) => Split;
}

/** The covariance that a photo leaves: without end where its squares do not place it. */
const covarianceWith =
  (foreseen: () => Foreseen | undefined): Covariance =>
  (g, h) => {
    const known = foreseen();
    if (!known) return Number.POSITIVE_INFINITY;
    const a = known.split(g);
    const b = known.split(h);
    let sum = covarianceBetween(known.before, a.old, b.old);
    for (let i = 0; i < a.shared.length; i++) sum -= a.by[i]! * b.shared[i]!;
    for (let i = 0; i < a.by.length; i++) sum += a.by[i]! * b.carried[i]!;
    return sum;
  };

function withSquares(mat: MatSolution, own: Observed, before: Before): Foreseen | undefined {
  const { touched, information, covariance } = before;
  const { places, index: camera } = own;
  if (!information) return undefined;
  const t = touched.length;
  const size = t + ownCount;
  const n = places.values.length - ownCount;
  const column = new Int32Array(places.values.length).fill(-1);
  for (let i = 0; i < t; i++) column[touched[i]!] = i;
  for (let i = 0; i < ownCount; i++) column[n + i] = t + i;
  const matrix = new Float64Array(size * size);
  for (let i = 0; i < t; i++) matrix.set(information.subarray(i * t, (i + 1) * t), i * size);
  const ownCentre = (sigmas.ownCentre * Math.max(camera.field.grid.width, camera.field.grid.height)) / sigmas.across;
  for (const [i, sigma] of [sigmas.ownFocal, ownCentre, ownCentre].entries())
    matrix[(t + i) * (size + 1)]! += 1 / sigma ** 2;
  matrix[(size - 1) * (size + 1)]! += 1 / sigmas.bleed ** 2;
  const { tiles, printScale, card } = mat.index;
  const blocks = own.shown.map(({ tile, tag }) =>
    tile === undefined
      ? cardTagBlock(tag, camera, card!, mat.levels.corner)
      : tileTagBlock(tag, camera, tiles.get(tile)!, printScale, mat.levels),
  );
  addInformation(blocks, places.values, column, { matrix, size });
  const factor = choleskyFactor(matrix, size);
  if (!factor) return undefined;
  // The scale is asked for with every place.
  const known = new Map<Float64Array, Split>();
  const split = (g: Float64Array): Split => {
    const it = known.get(g) ?? splitOf(g, before, information, factor);
    known.set(g, it);
    return it;
  };
  return { before: covariance, split };
}

/**
 * A function of the parameters as one of the touched ones plus a rest that the new squares say nothing of. `factor` =
 * of the information with them.
 */
function splitOf(
  g: Float64Array,
  { covariance, touched }: Before,
  information: Float64Array,
  factor: Float64Array,
): Split {
  const old = g.subarray(0, g.length - ownCount);
  const t = touched.length;
  const shared = covarianceWithEach(covariance, touched, old);
  const by = new Float64Array(t + ownCount);
  for (let i = 0; i < t; i++) {
    let sum = 0;
    for (let j = 0; j < t; j++) sum += information[i * t + j]! * shared[j]!;
    by[i] = sum;
  }
  by.set(g.subarray(old.length), t);
  return { old, shared, by, carried: choleskySolve(factor, by.length, by) };
}

/** Adds the share of some blocks to the lower half of a normal matrix, in the columns given for all parameters. */
function addInformation(
  blocks: readonly ResidualBlock[],
  values: Float64Array,
  column: Int32Array,
  { matrix, size }: { matrix: Float64Array; size: number },
): void {
  const most = (of: (block: ResidualBlock) => number) =>
    blocks.reduce((largest, block) => Math.max(largest, of(block)), 0);
  const [widest, rows] = [most(({ parameters }) => parameters.length), most((block) => block.size)];
  const [columns, none] = [makeColumns(widest, rows * widest), makeColumns(0, 0)];
  const weighing = {
    weights: new Float64Array(rows).fill(1),
    left: new Float64Array(rows),
    residuals: new Float64Array(rows),
  };
  const part = { matrix, size, gradient: new Float64Array(size) };
  const jacobianOf = makeZeroed();
  const unsorted = new Int32Array(widest);
  for (const block of blocks) {
    const jacobian = jacobianOf(block.size * block.parameters.length);
    block.evaluate(values, weighing.residuals, jacobian);
    const own = { group: -1, column: Int32Array.from(block.parameters, (p) => column[p]!), met: unsorted };
    splitColumns(jacobian, block.size, own, columns, none);
    addColumns(columns, block.size, weighing, part);
  }
}
