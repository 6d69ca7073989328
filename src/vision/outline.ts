import { type Camera, cameraCentre, project } from '../geometry/camera.ts';
import { addScaled, cross, type Pixel, scale, subtract, unit, type Vector3 } from '../geometry/vector.ts';
import type { Photo } from '../photo/photo.ts';
import type { Blank } from '../plan/plan.ts';
import { edgesAcross, noiseNear } from './edge_profile.ts';

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
 * The unit vector from the axis to one of its two outlines as seen from `centre`: square to the axis and to the ray (the
 * outline of a thin cone lies one radius off the axis).
 */
export const outlineDirection = (station: { point: Vector3; along: Vector3 }, centre: Vector3, side: 1 | -1): Vector3 =>
  scale(unit(cross(station.along, subtract(station.point, centre))), side);

/** The outline's tangent point this close above the paper (mm) may have its contact shadow for a neighbour. */
const clearOfShadow = 8;

/**
 * False for the outline on the underside of a blank lying near the paper: there the shadow under the blank joins its dark
 * limb, and the clearest edge is the shadow's.
 */
function clearEdge(station: AxisStation, q: Vector3): boolean {
  return q[2] > -0.1 || station.point[2] + station.radius * q[2] > clearOfShadow;
}

/** A candidate edge beside one side of the blank. */
interface Candidate {
  side: 1 | -1;
  at: Pixel;
  normal: Pixel;
  perMm: number;
  /** mm outward from where the model has the outline */
  offset: number;
  slope: number;
}

/**
 * Looks for both outlines at each station, within `reach` mm of where the model has them, among edges that get lighter
 * outward (the paper is lighter than any blank, but its shadowed part may be darker than a light one). Where both sides are clear the pair is chosen whose distance fits the
 * blank's width: a shadow beside the blank has a clear edge too, but at the wrong width.
 */
export function findOutline(
  photo: Photo,
  camera: Camera,
  stations: readonly AxisStation[],
  reach: number,
  finish: Blank['finish'],
): OutlinePoint[] {
  const centre = cameraCentre(camera);
  const points: OutlinePoint[] = [];
  const noise = { value: undefined as number | undefined };
  for (const station of stations) {
    const [right, left] = ([1, -1] as const).map((side) =>
      candidates(photo, camera, centre, station, side, reach, finish, noise),
    );
    if (!right || !left) continue;
    // What the plan's taper leaves open of the radius, mm.
    const latitude = 0.12 * station.radius + 0.12;
    if (right.length > 0 && left.length > 0) {
      let best: { pair: [Candidate, Candidate]; worth: number } | undefined;
      for (const a of right) {
        for (const b of left) {
          const widening = (a.offset + b.offset) / latitude;
          const shift = (a.offset - b.offset) / 2 / reach;
          const worth = (Math.sqrt(a.slope) + Math.sqrt(b.slope)) * Math.exp(-0.5 * widening ** 2 - 0.5 * shift ** 2);
          if (Math.abs(widening) < 2.5 && (!best || worth > best.worth)) best = { pair: [a, b], worth };
        }
      }
      if (best) points.push(...best.pair.map((c) => toPoint(station.t, c, true)));
      continue;
    }
    let best: { candidate: Candidate; worth: number } | undefined;
    for (const candidate of [...right, ...left]) {
      const worth = Math.sqrt(candidate.slope) * Math.exp(-0.5 * (candidate.offset / (0.5 * reach)) ** 2);
      if (!best || worth > best.worth) best = { candidate, worth };
    }
    if (best) points.push(toPoint(station.t, best.candidate, false));
  }
  return points;
}

const toPoint = (t: number, c: Candidate, paired: boolean): OutlinePoint => ({
  t,
  side: c.side,
  pixel: [c.at[0] + c.offset * c.perMm * c.normal[0], c.at[1] + c.offset * c.perMm * c.normal[1]],
  normal: c.normal,
  slope: c.slope,
  paired,
});

function candidates(
  photo: Photo,
  camera: Camera,
  centre: Vector3,
  station: AxisStation,
  side: 1 | -1,
  reach: number,
  finish: Blank['finish'],
  noise: { value: number | undefined },
): Candidate[] {
  const q = outlineDirection(station, centre, side);
  if (!clearEdge(station, q)) return [];
  const at = project(camera, addScaled(station.point, q, station.radius));
  const beyond = project(camera, addScaled(station.point, q, station.radius + 1));
  if (!at || !beyond) return [];
  const perMm = Math.hypot(beyond[0] - at[0], beyond[1] - at[1]);
  const reachPixels = Math.max(reach * perMm, 2.5);
  const margin = reachPixels + 6;
  if (at[0] < margin || at[1] < margin || at[0] > photo.width - margin || at[1] > photo.height - margin) return [];
  noise.value ??= noiseNear(photo, at, 60);
  const normal: Pixel = [(beyond[0] - at[0]) / perMm, (beyond[1] - at[1]) / perMm];
  const edges = edgesAcross(photo, at, normal, reachPixels, 4, Math.max(3, 2 * noise.value))
    .filter((e) => e.slope > 0 || finish === 'light')
    .map((e) => ({ ...e, slope: Math.abs(e.slope) }));
  const colour = colourEdge(photo, at, normal, reachPixels, station.radius * perMm);
  // On a coloured blank the colour tells its edge from its shadow's; colour is too coarse to measure by where luma agrees.
  const agreeing = colour === undefined ? edges : edges.filter((e) => Math.abs(e.offset - colour) < colourAgreement);
  if (colour !== undefined && agreeing.length === 0) agreeing.push({ offset: colour, slope: 3 });
  return agreeing.map((edge) => ({ side, at, normal, perMm, offset: edge.offset / perMm, slope: edge.slope }));
}

/** Colour comes at half size and blurred by the photo's own coding; pixels. */
const colourAgreement = 1.3;
const leastColour = 14;

/** Where the blank's colour gives way to the ground's, pixels outward, when the blank has a colour of its own. */
function colourEdge(photo: Photo, at: Pixel, normal: Pixel, reach: number, radius: number): number | undefined {
  const step = 0.5;
  const inner = Math.min(reach, radius);
  const n = Math.round((inner + reach) / step);
  const width = (photo.width + 1) >> 1;
  const colour = (d: number): [number, number] => {
    let blue = 0;
    let red = 0;
    for (let k = -3; k <= 3; k += 3) {
      const x = Math.round((at[0] + d * normal[0] - k * normal[1] - 0.5) / 2);
      const y = Math.round((at[1] + d * normal[1] + k * normal[0] - 0.5) / 2);
      blue += photo.blueDifference[y * width + x]! / 3;
      red += photo.redDifference[y * width + x]! / 3;
    }
    return [blue, red];
  };
  const ground = colour(reach);
  const distance = Array.from({ length: n + 1 }, (_, i) => {
    const [b, r] = colour(-inner + i * step);
    return Math.hypot(b - ground[0], r - ground[1]);
  });
  const own = distance.slice(0, Math.max(2, Math.round(inner / step / 2))).sort((a, b) => a - b);
  const level = own[own.length >> 1]! / 2;
  if (!(level > leastColour / 2)) return undefined;
  for (let i = n; i > 0; i--) {
    const p = distance[i - 1]!;
    const q = distance[i]!;
    if (p >= level && q < level) return -inner + (i - 1 + (p - level) / (p - q)) * step;
  }
  return undefined;
}
