import type { Vector3 } from '../geometry/vector.ts';

/**
 * The lane in which the blank lies: a straight line on the bench through the tiles' centres. A point is
 * origin + t * direction + v * side (+ z up); mm, bench frame.
 */
export interface Lane {
  origin: readonly [number, number];
  /** unit vector; side = direction turned a quarter counter-clockwise */
  direction: readonly [number, number];
  from: number;
  to: number;
}

/** The lane goes on beyond the outer pages by so much at most, mm: bench may show there. */
export const beyondPages = 30.3;

export const lanePoint = (lane: Lane, t: number, v: number, z: number): Vector3 => [
  lane.origin[0] + t * lane.direction[0] - v * lane.direction[1],
  lane.origin[1] + t * lane.direction[1] + v * lane.direction[0],
  z,
];

/** The lane walked the other way: its t and v change their signs. */
export const reverseLane = (lane: Lane): Lane => ({
  origin: lane.origin,
  direction: [-lane.direction[0], -lane.direction[1]],
  from: -lane.to,
  to: -lane.from,
});
