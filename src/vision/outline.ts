import { cross, type Pixel, scale, subtract, unit, type Vector3 } from '../geometry/vector.ts';

/** A place on the blank's axis as the model has it: mm, bench frame. */
export interface AxisStation {
  /** the axis's own coordinate, mm */
  t: number;
  point: Vector3;
  /** unit tangent, tip to butt */
  along: Vector3;
  radius: number;
}

/** A point of the blank's outline found in a photo. */
export interface OutlinePoint {
  t: number;
  side: 1 | -1;
  pixel: Pixel;
  /** unit, out of the blank, in the photo */
  normal: Pixel;
  /** grey levels a pixel */
  slope: number;
  /** found together with the other side's at the blank's width */
  paired: boolean;
}

/**
 * The unit vector from the axis to one of its two outlines as seen from `centre`: square to the axis and to the ray
 * (the outline of a thin cone lies one radius off the axis).
 */
export const outlineDirection = (station: { point: Vector3; along: Vector3 }, centre: Vector3, side: 1 | -1): Vector3 =>
  scale(unit(cross(station.along, subtract(station.point, centre))), side);
