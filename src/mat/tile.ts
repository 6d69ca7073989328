/**
 * The printed mat's geometry. Tile frame: origin at the page's centre, u right, v up, millimetres, as nominally
 * printed. Tags are drawn upright, as OpenCV's DICT_APRILTAG_36h11 draws them, on white.
 */

/** A point in a tile's or the seat card's own frame, mm: u right, v up. */
export type TilePoint = readonly [u: number, v: number];
/**
 * Corners of a tag's black square in OpenCV's order, as seen upright: top left, top right, bottom right, bottom left.
 */
export type TagCorners = readonly [TilePoint, TilePoint, TilePoint, TilePoint];

/** A straight printed line with its thickness, mm. */
export interface PrintedLine {
  from: TilePoint;
  to: TilePoint;
  thickness: number;
}

/** Side of a mat tag's black square, its black border included, mm. */
export const tagSide = 24;
/** A tag is a grid of 8 x 8 cells, border included. */
export const tagCells = 8;
export const tagsPerRow = 5;
export const tagsPerTile = 10;
export const maximumTiles = 58;
/** |v| below this stays white, mm: here the blank lies. Earlier prints have their two check bars in it. */
export const laneHalfWidth = 58;

export const tagSpacing = 50;
const rowDistance = 72;

/**
 * Nominal size of a page's rows of squares: one row from outer edge to outer edge; from the upper row's top to the
 * lower's bottom; mm.
 */
export const rowLength = (tagsPerRow - 1) * tagSpacing + tagSide;
export const rowsBreadth = 2 * rowDistance + tagSide;

/** Nominal length of both check bars of earlier prints between the outer edges of their end ticks, mm. */
export const barLength = 100;

export type PaperName = 'A4' | 'Letter';
/** Pages in landscape, mm: A4 (ISO 216) and US Letter (11 x 8.5 in). */
export const paperSizes: Readonly<Record<PaperName, { width: number; height: number }>> = {
  A4: { width: 297, height: 210 },
  Letter: { width: 279.4, height: 215.9 },
};

export interface TagPlace {
  tile: number;
  row: 'top' | 'bottom';
  /** centre of the black square in the tile's frame, mm */
  centre: TilePoint;
}

/** Where tag `id` sits on the mat, or undefined when no tile carries that id (the seat card's ids among them). */
export function tagPlace(id: number): TagPlace | undefined {
  if (!Number.isInteger(id) || id < 0 || id >= tagsPerTile * maximumTiles) return undefined;
  const place = id % tagsPerTile;
  const row = place < tagsPerRow ? 'top' : 'bottom';
  return {
    tile: Math.floor(id / tagsPerTile),
    row,
    centre: [((place % tagsPerRow) - 2) * tagSpacing, row === 'top' ? rowDistance : -rowDistance],
  };
}

/** The number printed on tile `tile`, as a person calls it: counted from 1. */
export const tileNumber = (tile: number): number => tile + 1;

/** The ten ids of a tile: the top row left to right, then the bottom row. */
export const tileTagIds = (tile: number): number[] =>
  Array.from({ length: tagsPerTile }, (_, i) => tile * tagsPerTile + i);

/** Corners of a square of this side (mm) about its centre, in OpenCV's order. */
export function squareCorners(centre: TilePoint, side: number): TagCorners {
  const [u, v] = centre;
  const h = side / 2;
  return [
    [u - h, v + h],
    [u + h, v + h],
    [u + h, v - h],
    [u - h, v - h],
  ];
}

/** Corners of tag `id`'s black square in its tile's frame, mm; undefined when no tile carries that id. */
export function tagCorners(id: number): TagCorners | undefined {
  const place = tagPlace(id);
  return place && squareCorners(place.centre, tagSide);
}

/**
 * The seat card, held in the reel seat like a reel's foot. Card frame: origin at its middle, u along the rod from the
 * tip-side tag to the butt-side tag, v up as printed, mm. Its normal is the roll reference.
 */
export const seatCard = {
  width: 62,
  height: 24,
  tagSide: 18,
  /** tip side, butt side */
  ids: [580, 581],
  centres: [
    [-17, 0],
    [17, 0],
  ],
} as const satisfies {
  width: number;
  height: number;
  tagSide: number;
  ids: readonly [number, number];
  centres: readonly [TilePoint, TilePoint];
};

/** Corners of a seat card tag's black square in the card's frame, mm; undefined for any other id. */
export function seatCardCorners(id: number): TagCorners | undefined {
  const i = seatCard.ids.findIndex((own) => own === id);
  const centre = seatCard.centres[i];
  return centre && squareCorners(centre, seatCard.tagSide);
}

/** The largest id that the mat or the seat card uses; DICT_APRILTAG_36h11 has five more, 582 to 586. */
export const largestTagId = 581;
