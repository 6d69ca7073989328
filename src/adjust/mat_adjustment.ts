import { type Camera, type Intrinsics, makeCamera } from '../geometry/camera.ts';
import type { Pixel, Vector3 } from '../geometry/vector.ts';
import { barUncertainty, spanUncertainty } from '../mat/readings.ts';
import { barLength, seatCard, tagPlace, tagSide } from '../mat/tile.ts';
import type { MatReadings } from '../plan/shoot.ts';
import type { Tag } from '../vision/tags.ts';
import { cardStart } from './card_start.ts';
import { type ResidualBlock, type Solution, solveLeastSquares } from '../numerics/least_squares.ts';
import { startMat, type TilePlace } from './mat_start.ts';
import { indices, ParameterVector } from './parameters.ts';
import { prior } from './prior.ts';
import { type CameraIndex, cardTagBlock, intrinsicsOf, tileTagBlock } from './tag_block.ts';

/** What one photo brings to the adjustment. */
export interface TaggedPhoto {
  file: string;
  width: number;
  height: number;
  tags: readonly Tag[];
  /** pixels, good to 1 or 2 % */
  focalPrior?: number;
  /** photos of one key share a lens */
  cameraKey?: string;
}

/** Standard deviation of a refined corner on real pixels before the fit tells better, pixels. */
export const expectedCorner = 0.1;

export interface MatSolution {
  /** one a photo; undefined where the photo shares no tile with the others */
  cameras: (Camera | undefined)[];
  /** where each photo's parameters stand in `values` */
  cameraIndex: (CameraIndex | undefined)[];
  tiles: TilePlace[];
  /** true size over nominal size of the print, along and across */
  printScale: { along: number; across: number };
  printScaleIndex: number;
  /** where each tile's x, y, yaw stand */
  tileIndex: ReadonlyMap<number, number>;
  card?: { index: number; rotation: Vector3; centre: Vector3 };
  /** root mean square corner residual per photo, pixels */
  residuals: number[];
  /** tag corners' own standard deviation as the fit shows it, pixels */
  cornerSigma: number;
  /** whitened residuals of the builder's readings: above 3 they contradict each other */
  readings: { barAlong?: number; barAcross?: number; span?: number };
  /** tiles that lie differently in one photo than in the others: something moved */
  moved: { photo: number; tile: number; byMm: number }[];
  parameters: ParameterVector;
  blocks: ResidualBlock[];
  solution: Solution;
}

/** Standard deviations of what is known beforehand; each with its reason. */
const sigmas = {
  corner: expectedCorner,
  /** EXIF's focal length, relative */
  focalFromExif: 0.02,
  /** none given: phones' main cameras span 24 to 30 mm equivalent */
  focalUnknown: 0.2,
  /** principal point off the photo's centre, share of the longer side */
  centre: 0.012,
  radial: [0.1, 0.1, 0.05],
  tangential: 0.001,
  /** autofocus breathing between photos of one walk, relative */
  ownFocal: 0.001,
  /** image stabilisation between photos of one walk, pixels at 4000 across */
  ownCentre: 1.5,
  bleed: 0.04,
  /** what a printer may do unmeasured: 3 % at two standard deviations */
  print: 0.015,
  /** how closely a printer repeats its scale from page to page */
  card: 0.002,
} as const;

/** A 26 mm equivalent lens: the diagonal of a 36 x 24 mm frame is 43.27 mm. */
const usualFocal = (width: number, height: number) => (26 / 43.27) * Math.hypot(width, height);

/**
 * Cameras, tiles, print scale and seat card from the tag corners and the builder's readings, in one least-squares
 * adjustment; the frame is that of the lowest-numbered tile (held fixed), z up. Undefined when no photo shows two tags of
 * one tile.
 */
export function adjustMat(photos: readonly TaggedPhoto[], readings: MatReadings): MatSolution | undefined {
  const guesses = photos.map(
    (photo): Intrinsics => ({
      focal: photo.focalPrior ?? usualFocal(photo.width, photo.height),
      centre: [(photo.width - 1) / 2, (photo.height - 1) / 2],
      distortion: [0, 0, 0, 0, 0],
    }),
  );
  const start = startMat(
    photos.map((photo) => photo.tags),
    guesses,
  );
  if (!start) return undefined;
  const parameters = new ParameterVector();
  const blocks: ResidualBlock[] = [];
  const lenses = new Map<string, number>();
  const cameraIndex = photos.map((photo, i): CameraIndex | undefined => {
    const pose = start.poses[i];
    if (!pose) return undefined;
    const key = `${photo.cameraKey ?? 'unknown'} ${photo.width} x ${photo.height}`;
    let lens = lenses.get(key);
    if (lens === undefined) {
      const guess = guesses[i]!;
      lens = parameters.add([guess.focal, ...guess.centre, 0, 0, 0, 0, 0]);
      lenses.set(key, lens);
      const longer = Math.max(photo.width, photo.height);
      blocks.push(
        prior(lens, guess.focal, guess.focal * (photo.focalPrior ? sigmas.focalFromExif : sigmas.focalUnknown)),
        prior(lens + 1, guess.centre[0], sigmas.centre * longer),
        prior(lens + 2, guess.centre[1], sigmas.centre * longer),
        prior(lens + 3, 0, sigmas.radial[0]),
        prior(lens + 4, 0, sigmas.radial[1]),
        prior(lens + 5, 0, sigmas.tangential),
        prior(lens + 6, 0, sigmas.tangential),
        prior(lens + 7, 0, sigmas.radial[2]),
      );
    }
    const own = parameters.add([0, 0, 0]);
    const ownCentre = (sigmas.ownCentre * Math.max(photo.width, photo.height)) / 4000;
    blocks.push(prior(own, 0, sigmas.ownFocal), prior(own + 1, 0, ownCentre), prior(own + 2, 0, ownCentre));
    const bleed = parameters.add([0.01]);
    blocks.push(prior(bleed, 0.01, sigmas.bleed));
    return { lens, own, pose: parameters.add([...pose.rotation, ...pose.translation]), bleed };
  });
  const tileIndex = new Map<number, number>();
  for (const place of [...start.tiles.values()].sort((a, b) => a.tile - b.tile))
    tileIndex.set(place.tile, parameters.add([place.x, place.y, place.yaw], place.tile === start.reference));
  const printScaleIndex = parameters.add([
    (readings.barAlong ?? barLength) / barLength,
    (readings.barAcross ?? barLength) / barLength,
  ]);
  blocks.push(...readingBlocks(readings, printScaleIndex, tileIndex));
  const matTags: { photo: number; tile: number; block: ResidualBlock }[] = [];
  photos.forEach((photo, i) => {
    const camera = cameraIndex[i];
    if (!camera) return;
    for (const tag of photo.tags) {
      const place = tagPlace(tag.id);
      const tile = place && tileIndex.get(place.tile);
      if (tile === undefined) continue;
      const block = tileTagBlock(tag, camera, tile, printScaleIndex, sigmas.corner);
      matTags.push({ photo: i, tile: place!.tile, block });
      blocks.push(block);
    }
  });
  let solution = solveLeastSquares(blocks, parameters.values(), {
    constant: parameters.constant,
    maximumIterations: 60,
  });
  const camerasOf = (values: Float64Array) =>
    cameraIndex.map((index) => (index ? cameraFrom(values, index) : undefined));
  // The seat card joins once the cameras stand, so its start is good.
  const cardTags = photos.flatMap((photo, i) =>
    cameraIndex[i]
      ? photo.tags
          .filter((tag) => (seatCard.ids as readonly number[]).includes(tag.id))
          .map((tag) => ({ photo: i, tag }))
      : [],
  );
  let card: number | undefined;
  if (cardTags.length > 0) {
    const cameras = camerasOf(solution.values);
    const begin = cardStart(cardTags.map(({ photo, tag }) => ({ tag, camera: cameras[photo]! })));
    if (begin) {
      const grown = new ParameterVector();
      grown.add(solution.values);
      for (const fixed of parameters.constant) grown.constant.add(fixed);
      const ofMat = [solution.values[printScaleIndex]!, solution.values[printScaleIndex + 1]!];
      begin.push(...ofMat);
      card = grown.add(begin);
      // Printed with the mat or by a printer that was true: it must not measure the mat by its own size.
      for (const [i, scale] of ofMat.entries())
        blocks.push(prior(card + 6 + i, (1 + scale) / 2, Math.hypot((scale - 1) / 2, sigmas.card)));
      for (const { photo, tag } of cardTags) blocks.push(cardTagBlock(tag, cameraIndex[photo]!, card, sigmas.corner));
      solution = solveLeastSquares(blocks, grown.values(), { constant: grown.constant, maximumIterations: 60 });
      parameters.add(begin);
    }
  }
  const values = solution.values;
  const perPhoto = photos.map(() => ({ square: 0, count: 0 }));
  const all: number[] = [];
  for (const { photo, block } of matTags) {
    const r = new Float64Array(8);
    block.evaluate(values, r, undefined);
    for (const x of r) {
      perPhoto[photo]!.square += x * x * sigmas.corner ** 2;
      perPhoto[photo]!.count += 1;
      all.push(Math.abs(x) * sigmas.corner);
    }
  }
  all.sort((a, b) => a - b);
  const residualOf = (block: ResidualBlock | undefined) => {
    if (!block) return undefined;
    const r = new Float64Array(1);
    block.evaluate(values, r, undefined);
    return r[0];
  };
  const tiles = [...tileIndex].map(([tile, at]) => ({
    tile,
    x: values[at]!,
    y: values[at + 1]!,
    yaw: values[at + 2]!,
  }));
  const named = readingBlocksByName(readings, printScaleIndex, tileIndex);
  const found: MatSolution = {
    cameras: camerasOf(values),
    cameraIndex,
    tiles,
    printScale: { along: values[printScaleIndex]!, across: values[printScaleIndex + 1]! },
    printScaleIndex,
    tileIndex,
    residuals: perPhoto.map((p) => (p.count ? Math.sqrt(p.square / p.count) : Number.NaN)),
    cornerSigma: Math.max(1.4826 * (all[all.length >> 1] ?? 0), 0.03),
    readings: Object.fromEntries(
      Object.entries(named).map(([name, block]) => [name, residualOf(block)]),
    ) as MatSolution['readings'],
    moved: movedTiles(matTags, values, photos.length),
    parameters,
    blocks,
    solution,
  };
  if (card !== undefined)
    found.card = {
      index: card,
      rotation: [values[card]!, values[card + 1]!, values[card + 2]!],
      centre: [values[card + 3]!, values[card + 4]!, values[card + 5]!],
    };
  return found;
}

/** The camera at these parameter values. */
export function cameraFrom(values: Float64Array, index: CameraIndex): Camera {
  const q = intrinsicsOf(values, index);
  const centre: Pixel = [q[1]!, q[2]!];
  return makeCamera(
    { focal: q[0]!, centre, distortion: [q[3]!, q[4]!, q[5]!, q[6]!, q[7]!] },
    {
      rotation: [values[index.pose]!, values[index.pose + 1]!, values[index.pose + 2]!],
      translation: [values[index.pose + 3]!, values[index.pose + 4]!, values[index.pose + 5]!],
    },
  );
}

function readingBlocksByName(
  readings: MatReadings,
  printScale: number,
  tiles: ReadonlyMap<number, number>,
): Partial<Record<'barAlong' | 'barAcross' | 'span', ResidualBlock>> {
  const named: Partial<Record<'barAlong' | 'barAcross' | 'span', ResidualBlock>> = {};
  if (readings.barAlong !== undefined)
    named.barAlong = prior(printScale, readings.barAlong / barLength, barUncertainty / barLength);
  if (readings.barAcross !== undefined)
    named.barAcross = prior(printScale + 1, readings.barAcross / barLength, barUncertainty / barLength);
  if (readings.span) {
    const from = tagPlace(readings.span.fromTag);
    const to = tagPlace(readings.span.toTag);
    const a = from && tiles.get(from.tile);
    const b = to && tiles.get(to.tile);
    if (from && to && a !== undefined && b !== undefined)
      named.span = spanBlock(a, from.centre, b, to.centre, printScale, readings.span.length);
  }
  return named;
}

function readingBlocks(readings: MatReadings, printScale: number, tiles: ReadonlyMap<number, number>): ResidualBlock[] {
  return [
    prior(printScale, 1, sigmas.print),
    prior(printScale + 1, 1, sigmas.print),
    // A printer stretches both ways alike but for a few parts in a thousand.
    ...Object.values(readingBlocksByName(readings, printScale, tiles)),
  ];
}

/** The tape laid over the mat: distance between the far edges of two tags' squares. */
function spanBlock(a: number, from: Pixel, b: number, to: Pixel, printScale: number, length: number): ResidualBlock {
  const sigma = spanUncertainty(length);
  return {
    parameters: [...new Set([...indices(a, 3), ...indices(b, 3), printScale, printScale + 1])],
    size: 1,
    evaluate(values, residuals, jacobian) {
      const ends = [
        { at: a, tag: from, other: { at: b, tag: to } },
        { at: b, tag: to, other: { at: a, tag: from } },
      ].map(({ at, tag, other }) => {
        const c = Math.cos(values[at + 2]!);
        const s = Math.sin(values[at + 2]!);
        // Which of the square's two edges is the outer one: the one away from the other tag.
        const co = Math.cos(values[other.at + 2]!);
        const so = Math.sin(values[other.at + 2]!);
        const dx = values[other.at]! + co * other.tag[0] - so * other.tag[1] - values[at]! - c * tag[0] + s * tag[1];
        const dy =
          values[other.at + 1]! + so * other.tag[0] + co * other.tag[1] - values[at + 1]! - s * tag[0] - c * tag[1];
        const outward = c * dx + s * dy > 0 ? -1 : 1;
        const u = tag[0] + (outward * tagSide) / 2;
        const p = values[printScale]! * u;
        const q = values[printScale + 1]! * tag[1];
        return { at, u, v: tag[1], p, q, c, s, x: values[at]! + c * p - s * q, y: values[at + 1]! + s * p + c * q };
      });
      const [e, f] = ends as [(typeof ends)[0], (typeof ends)[0]];
      const distance = Math.hypot(f.x - e.x, f.y - e.y);
      residuals[0] = (distance - length) / sigma;
      if (!jacobian) return;
      const list = this.parameters;
      const place = new Map(Array.from(list, (p, i) => [p, i]));
      for (const [end, sign] of [
        [e, -1],
        [f, 1],
      ] as const) {
        const nx = (sign * (f.x - e.x)) / distance / sigma;
        const ny = (sign * (f.y - e.y)) / distance / sigma;
        jacobian[place.get(end.at)!]! += nx;
        jacobian[place.get(end.at + 1)!]! += ny;
        jacobian[place.get(end.at + 2)!]! +=
          nx * (-end.s * end.p - end.c * end.q) + ny * (end.c * end.p - end.s * end.q);
        jacobian[place.get(printScale)!]! += (nx * end.c + ny * end.s) * end.u;
        jacobian[place.get(printScale + 1)!]! += (-nx * end.s + ny * end.c) * end.v;
      }
    },
  };
}

/** A wave in the paper makes corners miss by a pixel or two, a page that was pushed by more. */
const movedPixels = 3;
const movedMm = 0.6;

/**
 * Tiles whose corners in one photo all miss the same way by some pixels: with the robust loss the others outvote
 * them, so the miss tells how far the tile (or the photo's whole bench) moved.
 */
function movedTiles(
  tags: { photo: number; tile: number; block: ResidualBlock }[],
  values: Float64Array,
  photos: number,
): { photo: number; tile: number; byMm: number }[] {
  const moved: { photo: number; tile: number; byMm: number }[] = [];
  for (let photo = 0; photo < photos; photo++) {
    for (const tile of new Set(tags.filter((t) => t.photo === photo).map((t) => t.tile))) {
      const own = tags.filter((t) => t.photo === photo && t.tile === tile);
      let x = 0;
      let y = 0;
      let side = 0;
      for (const { block } of own) {
        const r = new Float64Array(8);
        const j = new Float64Array(8 * block.parameters.length);
        block.evaluate(values, r, j);
        for (let i = 0; i < 4; i++) {
          x += (r[2 * i]! * sigmas.corner) / (4 * own.length);
          y += (r[2 * i + 1]! * sigmas.corner) / (4 * own.length);
        }
        // Pixels a millimetre, from the derivative by the tile's place.
        side += (Math.hypot(j[17]!, j[block.parameters.length + 17]!) * sigmas.corner) / own.length;
      }
      const miss = Math.hypot(x, y);
      if (own.length >= 2 && miss > movedPixels && miss / side > movedMm)
        moved.push({ photo, tile, byMm: miss / side });
    }
  }
  return moved;
}
