import type { Intrinsics } from '../geometry/camera.ts';
import { fieldSize, type FieldGrid } from '../geometry/lens_field.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { jointPrior } from './joint_prior.ts';
import { indices } from './parameters.ts';

/**
 * What photos of the mat alone told of one camera's lens, kept for the shoots after: focal length, centre, Brown's
 * distortion and the field beyond it, with the covariance of all of them. Pixels of the photo as its sensor has it,
 * whichever way the camera was held.
 */
export interface LensProfile {
  /** as its owner calls it */
  name: string;
  /** camera, lens, focal length and size of the picture, in EXIF's words: photos of another camera do not take it */
  camera: string;
  /** when it was made, ISO 8601 */
  madeAt?: string;
  /** how many photos it was made from */
  photos: number;
  /** how well their corners were read, pixels */
  corner: number;
  grid: FieldGrid;
  /** focal length, centre x and y, k1, k2, p1, p2, k3; then the field's coefficients to the right, then those down */
  values: readonly number[];
  /** of `values`, row by row, whole */
  covariance: Float64Array;
}

/** Elements before the field's. */
export const lensCount = 8;

/** How many values a lens with a field of this grid has. */
export const lensSize = (grid: FieldGrid): number => lensCount + 2 * fieldSize(grid);

/**
 * What a lens may change from one day to the next, as standard deviations: a phone's lens moves by half a per cent of
 * its focal length between near and far, and its stabiliser rests where it likes (common practice, no source).
 */
const betweenDays = {
  /** relative */
  focal: 0.003,
  /** pixels at so many across */
  centre: 1.5,
  across: 4000,
} as const;

/**
 * What two pages do between their squares shows in all photos alike and passes for the lens: variances are so much
 * larger than the corners' scatter says (from drawn pages that wave by 0.4 mm).
 */
const pagesInCommon = 2;

/** The lens as a camera has it. */
export function lensIntrinsics({ grid, values }: LensProfile): Intrinsics {
  const [focal, x, y, k1, k2, p1, p2, k3] = values as unknown as readonly [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  const size = fieldSize(grid);
  return {
    focal,
    centre: [x, y],
    distortion: [k1, k2, p1, p2, k3],
    field: { grid, right: values.slice(lensCount, lensCount + size), down: values.slice(lensCount + size) },
  };
}

/** What is known of a lens's unknowns by its profile; `lens`, `field`: where they stand. */
export function lensPrior({ grid, values, covariance }: LensProfile, lens: number, field: number): ResidualBlock {
  const n = values.length;
  const own = covariance.map((v) => pagesInCommon * v);
  const centre = (betweenDays.centre * Math.max(grid.width, grid.height)) / betweenDays.across;
  for (const [i, sigma] of [betweenDays.focal * values[0]!, centre, centre].entries()) own[i * (n + 1)]! += sigma ** 2;
  const block = jointPrior([...indices(lens, lensCount), ...indices(field, n - lensCount)], values, own);
  if (!block) throw new RangeError('a lens profile without a covariance is kept from being read');
  return block;
}

/** One element of a turned lens: plus or minus one of the lens as it was, and a length. */
interface TurnedElement {
  of: number;
  sign: 1 | -1;
  add: number;
}

/** The lens of photos turned clockwise by so many quarter turns to stand upright. */
export function turnedLens(profile: LensProfile, quarters: number): LensProfile {
  let turned = profile;
  for (let k = 0; k < quarters; k++) turned = turnedOnce(turned);
  return turned;
}

/** A pixel (x, y) of a picture `height` high stands at (height - 1 - y, x) once it is turned clockwise. */
function turnedOnce(profile: LensProfile): LensProfile {
  const { grid, values, covariance } = profile;
  const { columns, rows, width, height } = grid;
  const [wide, high] = [columns + 3, rows + 3];
  const right = (i: number, j: number) => lensCount + j * wide + i;
  const down = (i: number, j: number) => lensCount + wide * high + j * wide + i;
  const same = (of: number): TurnedElement => ({ of, sign: 1, add: 0 });
  const opposite = (of: number, add = 0): TurnedElement => ({ of, sign: -1, add });
  const cells = Array.from({ length: wide * high }, (_, k) => {
    // Row by row of the turned grid: its columns run up the rows as they were.
    const [i, j] = [Math.floor(k / high), high - 1 - (k % high)];
    return { i, j };
  });
  const elements = [
    same(0),
    opposite(2, height - 1),
    same(1),
    same(3),
    same(4),
    same(6),
    opposite(5),
    same(7),
    ...cells.map(({ i, j }) => opposite(down(i, j))),
    ...cells.map(({ i, j }) => same(right(i, j))),
  ];
  const n = values.length;
  const turned = new Float64Array(n * n);
  for (const [i, a] of elements.entries())
    for (const [j, b] of elements.entries()) turned[i * n + j] = a.sign * b.sign * covariance[a.of * n + b.of]!;
  return {
    ...profile,
    grid: { width: height, height: width, columns: rows, rows: columns },
    values: elements.map(({ of, sign, add }) => sign * values[of]! + add),
    covariance: turned,
  };
}
