import type { Intrinsics } from '../geometry/camera.ts';
import { barLength, seatCard, tagPlace } from '../mat/tile.ts';
import type { ResidualBlock } from '../numerics/least_squares.ts';
import type { MatReadings } from '../plan/shoot.ts';
import type { Tag } from '../vision/tags.ts';
import { type ReadingBlocks, readingBlocks } from './mat_readings.ts';
import { startMat } from './mat_start.ts';
import { ParameterVector } from './parameters.ts';
import { prior } from './prior.ts';
import { type CameraIndex, cardTagBlock, tileTagBlock } from './tag_block.ts';

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

/** Standard deviations of what is known beforehand; each with its reason. */
export const sigmas = {
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

/** Where the unknowns stand in the parameter vector. */
export interface MatIndex {
  /** one a photo; undefined where the photo shares no tile with the others */
  cameras: (CameraIndex | undefined)[];
  /** x, y, yaw of each tile */
  tiles: ReadonlyMap<number, number>;
  /** the print's scale along and across */
  printScale: number;
  /** rotation vector, centre, the card's own print scale along and across */
  card?: number;
}

/** One mat tag seen in one photo. */
export interface TagSighting {
  photo: number;
  tile: number;
  block: ResidualBlock;
}

/** The adjustment as unknowns and observations. */
export interface MatProblem {
  index: MatIndex;
  parameters: ParameterVector;
  priors: ResidualBlock[];
  readings: ReadingBlocks;
  tags: TagSighting[];
  cardTags: ResidualBlock[];
}

export const allBlocks = (problem: MatProblem): ResidualBlock[] => [
  ...problem.priors,
  ...Object.values(problem.readings),
  ...problem.tags.map(({ block }) => block),
  ...problem.cardTags,
];

/** A 26 mm equivalent lens: the diagonal of a 36 x 24 mm frame is 43.27 mm. */
const usualFocal = (width: number, height: number) => (26 / 43.27) * Math.hypot(width, height);

/** Start values and observations, without the seat card; undefined when no photo shows two tags of one tile. */
export function poseMat(photos: readonly TaggedPhoto[], readings: MatReadings): MatProblem | undefined {
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
  const priors: ResidualBlock[] = [];
  const lenses = new Map<string, number>();
  const cameras = photos.map((photo, i): CameraIndex | undefined => {
    const pose = start.poses[i];
    if (!pose) return undefined;
    const key = `${photo.cameraKey ?? 'unknown'} ${photo.width} x ${photo.height}`;
    const lens = lenses.get(key) ?? addLens(parameters, priors, photo, guesses[i]!);
    lenses.set(key, lens);
    const own = parameters.add([0, 0, 0]);
    const ownCentre = (sigmas.ownCentre * Math.max(photo.width, photo.height)) / 4000;
    priors.push(prior(own, 0, sigmas.ownFocal), prior(own + 1, 0, ownCentre), prior(own + 2, 0, ownCentre));
    const bleed = parameters.add([0.01]);
    priors.push(prior(bleed, 0.01, sigmas.bleed));
    return { lens, own, pose: parameters.add([...pose.rotation, ...pose.translation]), bleed };
  });
  const tiles = new Map<number, number>();
  for (const place of [...start.tiles.values()].sort((a, b) => a.tile - b.tile))
    tiles.set(place.tile, parameters.add([place.x, place.y, place.yaw], place.tile === start.reference));
  const printScale = parameters.add([
    (readings.barAlong ?? barLength) / barLength,
    (readings.barAcross ?? barLength) / barLength,
  ]);
  priors.push(prior(printScale, 1, sigmas.print), prior(printScale + 1, 1, sigmas.print));
  const index: MatIndex = { cameras, tiles, printScale };
  return {
    index,
    parameters,
    priors,
    readings: readingBlocks(readings, printScale, tiles),
    tags: tagSightings(photos, index),
    cardTags: [],
  };
}

function addLens(
  parameters: ParameterVector,
  priors: ResidualBlock[],
  photo: TaggedPhoto,
  { focal, centre }: Intrinsics,
): number {
  const lens = parameters.add([focal, ...centre, 0, 0, 0, 0, 0]);
  const longer = Math.max(photo.width, photo.height);
  priors.push(
    prior(lens, focal, focal * (photo.focalPrior ? sigmas.focalFromExif : sigmas.focalUnknown)),
    prior(lens + 1, centre[0], sigmas.centre * longer),
    prior(lens + 2, centre[1], sigmas.centre * longer),
    prior(lens + 3, 0, sigmas.radial[0]),
    prior(lens + 4, 0, sigmas.radial[1]),
    prior(lens + 5, 0, sigmas.tangential),
    prior(lens + 6, 0, sigmas.tangential),
    prior(lens + 7, 0, sigmas.radial[2]),
  );
  return lens;
}

function tagSightings(photos: readonly TaggedPhoto[], { cameras, tiles, printScale }: MatIndex): TagSighting[] {
  return photos.flatMap(({ tags }, photo) => {
    const camera = cameras[photo];
    if (!camera) return [];
    return tags.flatMap((tag) => {
      const place = tagPlace(tag.id);
      const at = place && tiles.get(place.tile);
      if (!place || at === undefined) return [];
      return [{ photo, tile: place.tile, block: tileTagBlock(tag, camera, at, printScale, sigmas.corner) }];
    });
  });
}

/** The seat card's tags in the photos that the adjustment places. */
export const cardTagsOf = (photos: readonly TaggedPhoto[], { cameras }: MatIndex): { photo: number; tag: Tag }[] =>
  photos.flatMap(({ tags }, photo) =>
    cameras[photo]
      ? tags.filter(({ id }) => (seatCard.ids as readonly number[]).includes(id)).map((tag) => ({ photo, tag }))
      : [],
  );

/** The problem from `values` on, with the seat card (start: rotation vector and centre) added. */
export function withCard(
  problem: MatProblem,
  values: Float64Array,
  start: readonly number[],
  seen: readonly { photo: number; tag: Tag }[],
): MatProblem {
  const { index } = problem;
  const parameters = new ParameterVector();
  parameters.add(values);
  for (const fixed of problem.parameters.constant) parameters.constant.add(fixed);
  const ofMat = [values[index.printScale]!, values[index.printScale + 1]!];
  const card = parameters.add([...start, ...ofMat]);
  return {
    ...problem,
    index: { ...index, card },
    parameters,
    priors: [
      ...problem.priors,
      // Printed with the mat or by a printer that was true: it must not measure the mat by its own size.
      ...ofMat.map((scale, i) => prior(card + 6 + i, (1 + scale) / 2, Math.hypot((scale - 1) / 2, sigmas.card))),
    ],
    cardTags: seen.map(({ photo, tag }) => cardTagBlock(tag, index.cameras[photo]!, card, sigmas.corner)),
  };
}
