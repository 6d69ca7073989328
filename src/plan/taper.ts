import type { Blank } from './plan.ts';

/** One place where the blank's outer diameter is known; mm. Without a wall the section is solid. */
export interface DiameterStation {
  at: number;
  diameter: number;
  wall?: number;
}

/** A blank known at its ends only: straight from its tip-side end, at `startsAt` mm from the rod's tip, to its butt. */
export function taper(blank: Blank, startsAt = 0): DiameterStation[] {
  return [
    { at: startsAt, diameter: blank.tipDiameter },
    { at: startsAt + blank.length, diameter: blank.buttDiameter },
  ];
}

/** Outer diameter and wall (mm) at arc length `s`. */
export function sectionAt(stations: readonly DiameterStation[], s: number): { diameter: number; wall?: number } {
  let i = 1;
  while (i < stations.length - 1 && stations[i]!.at < s) i++;
  const before = stations[i - 1]!;
  const after = stations[i];
  if (!after || s <= before.at) return before;
  if (s >= after.at) return after;
  const k = (s - before.at) / (after.at - before.at);
  const diameter = before.diameter + k * (after.diameter - before.diameter);
  if (before.wall === undefined || after.wall === undefined) return { diameter };
  return { diameter, wall: before.wall + k * (after.wall - before.wall) };
}

/** The blank's outer diameter (mm) at `at` mm from the rod's tip. */
export const blankDiameter = (blank: Blank, at: number, startsAt = 0): number =>
  sectionAt(taper(blank, startsAt), at).diameter;
