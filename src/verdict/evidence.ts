import type { Pixel } from '../geometry/vector.ts';
import type { Picture } from '../photo/photo.ts';

/** What the pictures show of a check; kept beside the report, never inside its file. */
export interface Evidence {
  photos: PhotoEvidence[];
  ribbon?: Ribbon;
  closeUps: CloseUp[];
  rings: RingEvidence[];
}

/** Arc length from each point of a photo's axis line to the next, mm. */
export const axisStep = 5;

/** Drawings over one upright photo, in its own pixels. */
export interface PhotoEvidence {
  file: string;
  width: number;
  height: number;
  tags: { id: number; corners: Pixel[] }[];
  /** the blank's axis from tip to butt, from where `covers` begins and every `axisStep` mm, and its two outlines */
  axis: Pixel[];
  outlines: Pixel[][];
  rings: { id: string; rims: Pixel[][] }[];
  marks: { id: string; edges: Pixel[][] }[];
  /** arc lengths (mm) of the stretch of blank this photo shows, when it shows any */
  covers?: { from: number; to: number };
}

/**
 * The blank straightened out of the photos, tip at the left: column x shows arc length from + x / pixelsPerMm (mm); the
 * axis runs along the middle row; the same scale across.
 */
export interface Ribbon {
  picture: Picture;
  from: number;
  pixelsPerMm: number;
}

/**
 * A cut-out of one photo round one item, with the fitted rims or mark edges in the cut-out's own pixels; where nothing
 * was found, `sought` is set and the lines frame the stretch of blank that was looked at.
 */
export interface CloseUp {
  id: string;
  file: string;
  picture: Picture;
  rims: Pixel[][];
  sought?: true;
}

/**
 * Ring centres against the axis, for the top, side and sighting views: mm; roll in degrees about the axis, bench zero.
 */
export interface RingEvidence {
  id: string;
  along: number;
  /** to the right as seen from the butt, and up */
  right: number;
  up: number;
  ringOuter: number;
  blankRadius: number;
  roll: number;
}
