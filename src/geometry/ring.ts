import { add, addScaled, cross, dot, scale, subtract, unit, type Vector3 } from './vector.ts';

/**
 * A guide ring in space: a short tube whose section (cut along its axis) is a rectangle with rounded corners. Bench
 * frame, mm. The normal is the tube's axis, of unit length, toward the butt.
 */
export interface Ring {
  centre: Vector3;
  normal: Vector3;
  /** radius of the outermost and of the bore's circle */
  outer: number;
  inner: number;
  halfThickness: number;
  /** half the bore's length: an insert may stand out from its frame or lie back in it */
  boreHalfThickness: number;
  /** radius of the section's corners; at most half the wall and the half thickness */
  rounding: number;
}

/**
 * Which edge of the ring a rim point belongs to.
 * `outline`: the outer silhouette. `bore`: the edge of the hole that hides what is behind it.
 * `face-bore` and `face-outer`: creases where the face toward the camera meets the bore's wall and the outer wall.
 */
export type RimPart = 'outline' | 'bore' | 'face-bore' | 'face-outer';

/** A point on one of the ring's visible edges, with what its derivatives need. */
export interface RimPoint {
  part: RimPart;
  /** bench frame, mm */
  point: Vector3;
  /** unit vector from the ring's axis through this point, square to the axis */
  radial: Vector3;
  /** where along the half thickness the section's corner stands: -1..1 */
  side: number;
  /** the section's unit normal there: its radial and axial part */
  normalRadial: number;
  normalAxial: number;
  /** angle round the ring, radians */
  angle: number;
}

/** A direction in the ring's plane, and a place on its section there with the section's normal. */
type Spoke = Pick<RimPoint, 'angle' | 'radial'>;
type SectionCorner = Pick<RimPoint, 'side' | 'normalRadial' | 'normalAxial'>;

/** Two unit vectors that span the ring's plane; the first is the one nearest to `toward`. */
export function ringPlane(normal: Vector3, toward: Vector3): { first: Vector3; second: Vector3 } {
  const first = unit(addScaled(toward, normal, -dot(toward, normal)));
  return { first, second: cross(normal, first) };
}

/**
 * The ring's edges as a camera at `eye` sees them, as closed or open runs of points at `count` even angles.
 * On a surface of revolution the silhouette at one angle is where the section's normal is square to the line of sight;
 * on a rounded rectangle that is a corner plus the rounding along this normal (Cipolla and Giblin 2000, chapter 2, on
 * contour generators).
 */
export function ringRims(ring: Ring, eye: Vector3, count: number): RimPoint[][] {
  const { first, second } = ringPlane(ring.normal, Math.abs(ring.normal[2]) < 0.9 ? [0, 0, 1] : [0, 1, 0]);
  const { outer, inner, halfThickness, boreHalfThickness, rounding } = ring;
  const at = (
    part: RimPart,
    { angle, radial }: Spoke,
    { side, normalRadial, normalAxial }: SectionCorner,
  ): RimPoint => {
    const isOuter = part === 'outline' || part === 'face-outer';
    const r = (isOuter ? outer - rounding : inner + rounding) + rounding * normalRadial;
    const half = isOuter ? halfThickness : boreHalfThickness;
    const b = side * (half - rounding) + rounding * normalAxial;
    return {
      part,
      point: add(ring.centre, add(scale(radial, r), scale(ring.normal, b))),
      radial,
      side,
      normalRadial,
      normalAxial,
      angle,
    };
  };
  const outline: RimPoint[] = [];
  const bore: (RimPoint | undefined)[] = [];
  const faceBore: (RimPoint | undefined)[] = [];
  const faceOuter: (RimPoint | undefined)[] = [];
  const middle = (outer + inner) / 2;
  const diagonal = Math.SQRT1_2;
  for (let k = 0; k < count; k++) {
    const angle = (2 * Math.PI * k) / count;
    const radial = addScaled(scale(first, Math.cos(angle)), second, Math.sin(angle));
    const sight = subtract(eye, addScaled(ring.centre, radial, middle));
    const sightRadial = dot(sight, radial);
    const sightAxial = dot(sight, ring.normal);
    const face = sightAxial >= 0 ? 1 : -1;
    const length = Math.sqrt(sightRadial * sightRadial + sightAxial * sightAxial) || 1;
    const mr = Math.abs(sightAxial) / length;
    const mn = (-face * sightRadial) / length;
    const spoke = { angle, radial };
    outline.push(at('outline', spoke, { side: mn >= 0 ? 1 : -1, normalRadial: mr, normalAxial: mn }));
    const edge = at('bore', spoke, { side: mn >= 0 ? -1 : 1, normalRadial: -mr, normalAxial: -mn });
    const near = sightRadial > 0;
    bore.push(near || seesThrough(ring, edge.point, eye, face) ? edge : undefined);
    const corner = { side: face, normalRadial: near ? diagonal : -diagonal, normalAxial: face * diagonal };
    faceBore.push(near ? undefined : at('face-bore', spoke, corner));
    faceOuter.push(near ? at('face-outer', spoke, corner) : undefined);
  }
  return [withSides(outline, at), ...runs(bore), ...runs(faceBore), ...runs(faceOuter)];
}

/** Whether the line from a point on the bore to the eye leaves the ring through its hole on the side toward the eye. */
function seesThrough(ring: Ring, point: Vector3, eye: Vector3, face: number): boolean {
  const d = subtract(eye, point);
  const p = subtract(point, ring.centre);
  const rise = dot(d, ring.normal);
  const t = (face * ring.boreHalfThickness - dot(p, ring.normal)) / rise;
  const q = addScaled(p, d, t);
  const radius = Math.sqrt(Math.max(0, dot(q, q) - ring.boreHalfThickness * ring.boreHalfThickness));
  return radius < ring.inner;
}

/**
 * Fills the straight stretches along the outer wall where the silhouette changes from one face's corner to the other's.
 */
function withSides(
  outline: RimPoint[],
  at: (part: RimPart, spoke: Spoke, corner: SectionCorner) => RimPoint,
): RimPoint[] {
  const closed: RimPoint[] = [];
  for (let k = 0; k < outline.length; k++) {
    const p = outline[k]!;
    const q = outline[(k + 1) % outline.length]!;
    closed.push(p);
    if (p.side === q.side) continue;
    const angle = p.angle + Math.PI / outline.length;
    const radial = unit(add(p.radial, q.radial));
    for (let i = 0; i <= 6; i++)
      closed.push(at('outline', { angle, radial }, { side: p.side * (1 - i / 3), normalRadial: 1, normalAxial: 0 }));
  }
  closed.push(closed[0]!);
  return closed;
}

/** The unbroken runs of a cyclic list. */
function runs(points: (RimPoint | undefined)[]): RimPoint[][] {
  const n = points.length;
  const start = points.indexOf(undefined);
  if (start < 0) return [[...(points as RimPoint[]), points[0]!]];
  const found: RimPoint[][] = [];
  let run: RimPoint[] = [];
  for (let i = 1; i <= n; i++) {
    const p = points[(start + i) % n];
    if (p) run.push(p);
    else if (run.length > 0) {
      if (run.length > 1) found.push(run);
      run = [];
    }
  }
  return found;
}
