import type { Intrinsics, Pose } from '../geometry/camera.ts';
import { type FieldGrid, fieldSize } from '../geometry/lens_field.ts';
import { printedScale } from '../mat/readings.ts';
import { seatCard, tagPlace, tagsPerTile } from '../mat/tile.ts';
import type { ResidualBlock } from '../numerics/least_squares.ts';
import type { MatReadings } from '../plan/shoot.ts';
import type { Tag } from '../vision/tags.ts';
import { type ReadingBlock, readingBlocks } from './mat_readings.ts';
import { startMat } from './mat_start.ts';
import { ParameterVector } from './parameters.ts';
import { prior } from './prior.ts';
import type { CameraIndex } from './camera_block.ts';
import { gaugeBlock, heightsBlock } from './paper_blocks.ts';
import { cardTagBlock, type TileIndex, tileTagBlock } from './tag_block.ts';
import type { PhotoIndex, PerPhoto } from '../photo/photo.ts';

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

/** Standard deviations of what is known beforehand; each with its reason. */
export const sigmas = {
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

/** How large what no model foresees is, as standard deviations: the fit tells them from the residuals. */
export interface Levels {
  /** reading a tag's corner, pixels */
  corner: number;
  /** the paper's waves at a tag, mm */
  paper: number;
  /** a coefficient of the lens's field beyond Brown's model, pixels */
  field: number;
}

/**
 * Before the fit tells better. Refined corners on sharp photos are good to a tenth of a pixel; taped pages wave by a
 * few tenths of a millimetre, phones' lenses leave a few tenths of a pixel (common practice, no source).
 */
export const expectedLevels: Levels = { corner: 0.1, paper: 0.3, field: 0.3 };

/** Where the unknowns stand in the parameter vector. */
export interface MatIndex {
  /** one a photo; undefined where the photo shares no tile with the others */
  cameras: PerPhoto<CameraIndex | undefined>;
  tiles: ReadonlyMap<number, TileIndex>;
  /** the print's scale along and across */
  printScale: number;
  /** rotation vector, centre, the card's own print scale along and across */
  card?: number;
}

/** One mat tag seen in one photo. */
export interface TagSighting {
  photo: PhotoIndex;
  tile: number;
  block: ResidualBlock;
}

/** The adjustment's unknowns, with what is known of them beforehand, and what was seen. */
export interface MatProblem {
  index: MatIndex;
  start: Float64Array;
  /** the reference tile's place */
  held: ReadonlySet<number>;
  /** heights and field, which wait until cameras and tiles stand */
  shape: ReadonlySet<number>;
  /** priors whose size is known; the gauge */
  priors: ResidualBlock[];
  readings: ReadingBlock[];
  photos: PerPhoto<TaggedPhoto>;
  /** a page with a place of its own in one photo, to see whether it moved: where that place stands */
  apart?: { photo: PhotoIndex; tile: number; place: number };
}

/** The observations at some levels, by kind. */
export interface MatBlocks {
  known: ResidualBlock[];
  tags: TagSighting[];
  cardTags: ResidualBlock[];
  paper: ResidualBlock[];
  field: ResidualBlock[];
}

export const allBlocks = ({ known, tags, cardTags, paper, field }: MatBlocks): ResidualBlock[] => [
  ...known,
  ...tags.map(({ block }) => block),
  ...cardTags,
  ...paper,
  ...field,
];

/** A 26 mm equivalent lens: the diagonal of a 36 x 24 mm frame is 43.27 mm. */
const usualFocal = (width: number, height: number) => (26 / 43.27) * Math.hypot(width, height);

/**
 * Cells of a lens's field over the photo's longer and shorter side: what phones correct varies over a quarter of the
 * picture.
 */
const fieldCells = { longer: 4, shorter: 3 };

const fieldGrid = (width: number, height: number): FieldGrid => ({
  width,
  height,
  columns: width >= height ? fieldCells.longer : fieldCells.shorter,
  rows: width >= height ? fieldCells.shorter : fieldCells.longer,
});

/** Unknowns and observations, without the seat card; undefined when no photo shows two tags of one tile. */
export function poseMat(photos: PerPhoto<TaggedPhoto>, readings: MatReadings): MatProblem | undefined {
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
  const unknowns: Unknowns = { parameters: new ParameterVector(), shape: new Set(), priors: [] };
  const { parameters, shape, priors } = unknowns;
  const lenses = new Map<string, LensIndex>();
  const cameras = photos.map((photo, i): CameraIndex | undefined => {
    const pose = start.poses[i];
    return pose && addCamera(unknowns, lenses, photo, guesses[i]!, pose);
  });
  const tiles = new Map<number, TileIndex>();
  const places = [...start.tiles.values()].sort((a, b) => a.tile - b.tile);
  for (const { tile, x, y, yaw } of places)
    tiles.set(tile, {
      place: parameters.add([x, y, yaw], tile === start.reference),
      heights: addShape(unknowns, tagsPerTile),
    });
  const printScale = parameters.add([printedScale(readings, true) ?? 1, printedScale(readings, false) ?? 1]);
  priors.push(
    prior(printScale, 1, sigmas.print),
    prior(printScale + 1, 1, sigmas.print),
    gaugeBlock(places.map((place) => ({ place, heights: tiles.get(place.tile)!.heights }))),
  );
  return {
    index: { cameras, tiles, printScale },
    start: parameters.values(),
    held: parameters.constant,
    shape,
    priors,
    readings: readingBlocks(readings, printScale, tiles),
    photos,
  };
}

/** The adjustment's unknowns while they are gathered. */
interface Unknowns {
  parameters: ParameterVector;
  shape: Set<number>;
  priors: ResidualBlock[];
}

type LensIndex = Pick<CameraIndex, 'lens' | 'field'>;

/** Unknowns of a shape, heights or a field: 0 to start from. */
function addShape({ parameters, shape }: Unknowns, count: number): number {
  const at = parameters.add(new Float64Array(count));
  for (let i = 0; i < count; i++) shape.add(at + i);
  return at;
}

/** What a photo's white bleeds over black before the fit tells, mm. */
const usualBleed = 0.01;

/** One photo's camera; its lens is that of all photos of its key. */
function addCamera(
  unknowns: Unknowns,
  lenses: Map<string, LensIndex>,
  photo: TaggedPhoto,
  guess: Intrinsics,
  pose: Pose,
): CameraIndex {
  const { parameters, priors } = unknowns;
  const key = `${photo.cameraKey ?? 'unknown'} ${photo.width} x ${photo.height}`;
  let lens = lenses.get(key);
  if (!lens) {
    const grid = fieldGrid(photo.width, photo.height);
    lens = { lens: addLens(unknowns, photo, guess), field: { grid, at: addShape(unknowns, 2 * fieldSize(grid)) } };
    lenses.set(key, lens);
  }
  const own = parameters.add([0, 0, 0]);
  const ownCentre = (sigmas.ownCentre * Math.max(photo.width, photo.height)) / 4000;
  priors.push(prior(own, 0, sigmas.ownFocal), prior(own + 1, 0, ownCentre), prior(own + 2, 0, ownCentre));
  const bleed = parameters.add([usualBleed]);
  priors.push(prior(bleed, usualBleed, sigmas.bleed));
  return { ...lens, own, pose: parameters.add([...pose.rotation, ...pose.translation]), bleed };
}

function addLens({ parameters, priors }: Unknowns, photo: TaggedPhoto, { focal, centre }: Intrinsics): number {
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

/** The seat card's tags in the photos that the adjustment places. */
export const cardTagsOf = ({ photos, index }: MatProblem): { photo: PhotoIndex; tag: Tag }[] =>
  photos.flatMap(({ tags }, photo) =>
    index.cameras[photo]
      ? tags.filter(({ id }) => (seatCard.ids as readonly number[]).includes(id)).map((tag) => ({ photo, tag }))
      : [],
  );

/** The problem from `values` on, with the seat card (start: rotation vector and centre) added. */
export function withCard(problem: MatProblem, values: Float64Array, start: readonly number[]): MatProblem {
  const { index } = problem;
  const ofMat = [values[index.printScale]!, values[index.printScale + 1]!];
  const card = values.length;
  return {
    ...problem,
    index: { ...index, card },
    start: Float64Array.from([...values, ...start, ...ofMat]),
    priors: [
      ...problem.priors,
      // Printed with the mat or by a printer that was true: it must not measure the mat by its own size.
      ...ofMat.map((scale, i) => prior(card + 6 + i, (1 + scale) / 2, Math.hypot((scale - 1) / 2, sigmas.card))),
    ],
  };
}

/** The problem from `values` on, one page given a place of its own in one photo. */
export function withPageApart(problem: MatProblem, values: Float64Array, photo: PhotoIndex, tile: number): MatProblem {
  const { place } = problem.index.tiles.get(tile)!;
  return {
    ...problem,
    start: Float64Array.from([...values, ...values.subarray(place, place + 3)]),
    apart: { photo, tile, place: values.length },
  };
}

/** Every observation, its residuals over the standard deviations that `levels` gives them. */
export function blocksAt(problem: MatProblem, levels: Levels): MatBlocks {
  const { index, photos, apart } = problem;
  const { cameras, tiles, printScale, card } = index;
  const lenses = new Map(cameras.flatMap((camera) => (camera ? [[camera.lens, camera.field] as const] : [])));
  return {
    known: [...problem.priors, ...problem.readings.map(({ block }) => block)],
    tags: photos.flatMap(({ tags }, photo) => {
      const camera = cameras[photo];
      if (!camera) return [];
      return tags.flatMap((tag) => {
        const place = tagPlace(tag.id);
        const common = place && tiles.get(place.tile);
        if (!place || !common) return [];
        const isApart = apart?.photo === photo && apart.tile === place.tile;
        const at = isApart ? { ...common, place: apart.place } : common;
        return [{ photo, tile: place.tile, block: tileTagBlock(tag, camera, at, printScale, levels.corner) }];
      });
    }),
    cardTags:
      card === undefined
        ? []
        : cardTagsOf(problem).map(({ photo, tag }) => cardTagBlock(tag, cameras[photo]!, card, levels.corner)),
    paper: [...tiles.values()].map(({ heights }) => heightsBlock(heights, levels.paper)),
    field: [...lenses.values()].flatMap(({ grid, at }) =>
      Array.from({ length: 2 * fieldSize(grid) }, (_, i) => prior(at + i, 0, levels.field)),
    ),
  };
}
