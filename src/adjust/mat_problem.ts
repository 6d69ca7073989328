import { fieldSize } from '../geometry/lens_field.ts';
import { printedScale } from '../mat/readings.ts';
import { seatCard, tagPlace, tagsPerTile } from '../mat/tile.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import type { MatReadings } from '../plan/shoot.ts';
import type { Tag } from '../vision/tags.ts';
import { type ReadingBlock, readingBlocks } from './mat_readings.ts';
import { type KeptPages, keptMatPriors, keptPart } from './kept_pages.ts';
import { startMat, type TileShape } from './mat_start.ts';
import { indices, ParameterVector } from './parameters.ts';
import { prior } from './prior.ts';
import type { CameraIndex } from './camera_block.ts';
import { addCamera, addShape, guessLens, type SharedLens, type TaggedPhoto, type Unknowns } from './mat_cameras.ts';
import { gaugeBlock, heightsBlock } from './paper_blocks.ts';
import { cardTagBlock, type TileIndex, tileTagBlock } from './tag_block.ts';
import type { PhotoIndex, PerPhoto } from '../photo/photo.ts';

/** Standard deviations of what is known of the print beforehand; each with its reason. */
const printSigmas = {
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
  /** one a lens, shared by the photos of its key */
  lenses: SharedLens[];
  /** pages whose paper is known by a kept mat */
  pages: ReadonlySet<number>;
  /** the levels before the residuals speak */
  believed: Levels;
  photos: PerPhoto<TaggedPhoto>;
  /** a page with a place of its own in one photo, to see whether it moved: where that place stands */
  apart?: { photo: PhotoIndex; tile: number; place: number };
}

/** Each photo's own unknowns: nothing ties two photos but what they share, so these can be eliminated one by one. */
export const ownUnknowns = ({ index: { cameras } }: MatProblem): number[][] =>
  cameras.flatMap((camera) => (camera ? [[...indices(camera.own, 3), camera.bleed, ...indices(camera.pose, 6)]] : []));

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

const flat: readonly number[] = Array.from({ length: tagsPerTile }, () => 0);

/** Unknowns and observations, without the seat card; undefined when no photo shows two tags of one tile. */
export function poseMat(
  photos: PerPhoto<TaggedPhoto>,
  readings: MatReadings,
  kept?: KeptPages,
): MatProblem | undefined {
  const guesses = photos.map(guessLens);
  const start = startMat(
    photos.map((photo) => photo.tags),
    guesses,
  );
  if (!start) return undefined;
  const unknowns: Unknowns = { parameters: new ParameterVector(), shape: new Set(), priors: [] };
  const { parameters, shape, priors } = unknowns;
  const lenses = new Map<string, SharedLens>();
  const cameras = photos.map((photo, i): CameraIndex | undefined => {
    const pose = start.poses[i];
    return pose && addCamera(unknowns, lenses, photo, guesses[i]!, pose);
  });
  const tiles = new Map<number, TileIndex>();
  const known = kept && keptPart(kept, start);
  const held = known?.held ?? start.reference;
  const places = [...start.tiles.values()]
    .sort((a, b) => a.tile - b.tile)
    .map(
      (place): TileShape => known?.part.tiles.find(({ tile }) => tile === place.tile) ?? { ...place, heights: flat },
    );
  for (const { tile, x, y, yaw, heights } of places)
    tiles.set(tile, {
      place: parameters.add([x, y, yaw], tile === held),
      heights: addShape(unknowns, heights),
    });
  const printScale = parameters.add(
    kept
      ? [kept.profile.printScale.along, kept.profile.printScale.across]
      : [printedScale(readings, true) ?? 1, printedScale(readings, false) ?? 1],
  );
  priors.push(
    ...(kept
      ? keptMatPriors(kept, known, tiles, printScale)
      : [prior(printScale, 1, printSigmas.print), prior(printScale + 1, 1, printSigmas.print)]),
    gaugeBlock(places.map((place) => ({ place, heights: tiles.get(place.tile)!.heights }))),
  );
  return {
    index: { cameras, tiles, printScale },
    start: parameters.values(),
    held: parameters.constant,
    shape,
    priors,
    lenses: [...lenses.values()],
    pages: new Set(known ? kept.pages : []),
    believed: { ...expectedLevels, ...(kept && { paper: kept.profile.paper }) },
    // A kept mat's scale rests on the same readings: they are not counted twice.
    readings: kept ? [] : readingBlocks(readings, printScale, tiles),
    photos,
  };
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
      ...ofMat.map((scale, i) => prior(card + 6 + i, (1 + scale) / 2, Math.hypot((scale - 1) / 2, printSigmas.card))),
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

/**
 * Every observation, its residuals over the standard deviations that `levels` gives them. `flat`: squares do not tilt
 * with their paper.
 */
export function blocksAt(problem: MatProblem, levels: Levels, flat = false): MatBlocks {
  const { index, photos, apart } = problem;
  const { cameras, tiles, printScale, card } = index;
  const squares = flat ? { ...levels, paper: 0 } : levels;
  return {
    known: [
      ...problem.priors,
      ...problem.readings.map(({ block }) => block),
      ...problem.lenses.flatMap(({ kept }) => (kept ? [kept.block] : [])),
    ],
    tags: photos.flatMap(({ tags }, photo) => {
      const camera = cameras[photo];
      if (!camera) return [];
      return tags.flatMap((tag) => {
        const place = tagPlace(tag.id);
        const common = place && tiles.get(place.tile);
        if (!place || !common) return [];
        const isApart = apart?.photo === photo && apart.tile === place.tile;
        const at = isApart ? { ...common, place: apart.place } : common;
        return [{ photo, tile: place.tile, block: tileTagBlock(tag, camera, at, printScale, squares) }];
      });
    }),
    cardTags:
      card === undefined
        ? []
        : cardTagsOf(problem).map(({ photo, tag }) => cardTagBlock(tag, cameras[photo]!, card, levels.corner)),
    paper: [...tiles].flatMap(([tile, { heights }]) =>
      problem.pages.has(tile) ? [] : [heightsBlock(heights, levels.paper)],
    ),
    field: problem.lenses.flatMap(({ field: { grid, at }, kept }) =>
      kept ? [] : Array.from({ length: 2 * fieldSize(grid) }, (_, i) => prior(at + i, 0, levels.field)),
    ),
  };
}
