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

/**
 * Where the line of sight from `eye` through a point (bench frame, mm) goes on to the paper: the lane's coordinate and
 * the place across it.
 */
export function behindOnPaper({ origin, direction }: Lane, eye: Vector3, point: Vector3): { t: number; v: number } {
  const onward = eye[2] / (eye[2] - point[2]);
  const x = eye[0] + (point[0] - eye[0]) * onward - origin[0];
  const y = eye[1] + (point[1] - eye[1]) * onward - origin[1];
  const [dx, dy] = direction;
  return { t: x * dx + y * dy, v: y * dx - x * dy };
}

/** Whether a lane's coordinate lies on its pages, `inside` mm from their ends at least. */
export const isOnPages = ({ from, to }: Lane, t: number, inside = 0): boolean =>
  t > from + beyondPages + inside && t < to - beyondPages - inside;

/** The lane walked the other way: its t and v change their signs. */
export const reverseLane = (lane: Lane): Lane => ({
  origin: lane.origin,
  direction: [-lane.direction[0], -lane.direction[1]],
  from: -lane.to,
  to: -lane.from,
});
