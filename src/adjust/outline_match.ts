import { orderStatistic } from '../numerics/robust.ts';
import { type Camera, cameraCentre, project } from '../geometry/camera.ts';
import { addScaled, type Pixel, type Vector3 } from '../geometry/vector.ts';
import type { Blank } from '../plan/plan.ts';
import { worthBySight } from '../vision/blank_share.ts';
import { litness, worthByColour } from '../vision/edge_worth.ts';
import type { LaneEdges, LaneStation } from '../vision/lane_edges.ts';
import { type AxisStation, type OutlinePoint, outlineDirection } from '../vision/outline.ts';
import type { Colour } from '../vision/strip_relief.ts';

/** What one photo's edges say about the modelled outline. */
export interface OutlineMatch {
  points: OutlinePoint[];
  /** stations at which both sides might have shown, and those at which they did, at the blank's width */
  looked: number;
  paired: number;
  /** sum over the pairs of how well they fit the blank's width and look, each 0 to 1 */
  worth: number;
}

const match = {
  /** the outline's tangent point this close above the paper (mm) may have its contact shadow for a neighbour */
  clearOfShadow: 8,
  /** which is so where the tangent point faces down by more than this sine */
  facesDown: 0.1,
  /** what the plan's taper leaves open of the radius: share, and mm */
  radiusShare: 0.12,
  radiusExtra: 0.12,
  /** a pair may be as many latitudes too wide or narrow */
  widening: 2.5,
  /** least reach, pixels: below it the model is better than the search can see */
  leastReach: 2.5,
  /** colour comes at half size and blurred by the photo's own coding: it places an outline to this, pixels */
  colourAgreement: 1.3,
  /** least step of colour by which a blank counts as coloured */
  leastColour: 14,
  /** one side alone counts only where the finder does not deny that the blank lies within it */
  leastLikely: 0.3,
  /** the slope (grey levels a pixel) that an edge of colour alone counts as */
  colourSlope: 3,
} as const;

/**
 * False for the outline on the underside of a blank lying near the paper: there the shadow under the blank joins its
 * dark limb, and the clearest edge is the shadow's.
 */
function clearEdge(station: AxisStation, q: Vector3): boolean {
  return q[2] > -match.facesDown || station.point[2] + station.radius * q[2] > match.clearOfShadow;
}

/** A candidate edge beside one side of the blank. */
interface Candidate {
  side: 1 | -1;
  pixel: Pixel;
  normal: Pixel;
  /** mm outward from where the model has the outline */
  offset: number;
  /** pixels along the walk, and which way along it is outward */
  d: number;
  outward: number;
  slope: number;
  /** the colour beside the edge, inside the outline */
  inside: Colour;
}

/**
 * Picks both outlines at each station among the lane's edges within `reach` mm of where the model has them, and that
 * get lighter outward (the paper is lighter than any blank, but its shadowed part may be darker than a light one).
 * Where both sides are clear the pair is chosen whose distance fits the blank's width: a shadow beside the blank has a
 * clear edge too, but at the wrong width.
 */
export function matchOutline(
  edges: LaneEdges,
  camera: Camera,
  stationAt: (t: number) => AxisStation,
  range: { from: number; to: number },
  { reach, finish }: { reach: number; finish: Blank['finish'] },
): OutlineMatch {
  const centre = cameraCentre(camera);
  const found: OutlineMatch = { points: [], looked: 0, paired: 0, worth: 0 };
  for (const seen of edges.stations) {
    if (seen.t < range.from || seen.t > range.to) continue;
    const station = stationAt(seen.t);
    const [right, left] = ([1, -1] as const).map((side) => candidates(seen, camera, station, side, { reach, finish }));
    if (!right || !left) continue;
    if (([1, -1] as const).every((side) => clearEdge(station, outlineDirection(station, centre, side)))) found.looked++;
    const likely = (a: Candidate, b: Candidate) =>
      (finish === 'light' ? litness(a.inside[0], b.inside[0], seen.paper[0]) : 1) *
      worthByColour(a.inside, b.inside, seen.paper, seen.mostColour) *
      worthBySight(seen, Math.min(a.d, b.d), Math.max(a.d, b.d));
    const pair = bestPair(right, left, { radius: station.radius, reach, likely });
    if (pair) {
      found.paired++;
      const miss = (pair[0].offset + pair[1].offset) / latitudeOf(station.radius);
      found.worth += likely(...pair) * Math.exp(-0.5 * miss * miss);
      found.points.push(...pair.map((c) => toPoint(seen.t, c, true)));
    } else if (right.length === 0 || left.length === 0) {
      const inward = station.radius * seen.pixelsPerMm;
      const single = bestSingle([...right, ...left], reach, (c) =>
        worthBySight(seen, Math.min(c.d, c.d - c.outward * inward), Math.max(c.d, c.d - c.outward * inward)),
      );
      if (single) found.points.push(toPoint(seen.t, single, false));
    }
  }
  return found;
}

const latitudeOf = (radius: number): number => match.radiusShare * radius + match.radiusExtra;

function bestPair(
  right: readonly Candidate[],
  left: readonly Candidate[],
  { radius, reach, likely }: { radius: number; reach: number; likely: (a: Candidate, b: Candidate) => number },
): [Candidate, Candidate] | undefined {
  const latitude = latitudeOf(radius);
  let best: { pair: [Candidate, Candidate]; worth: number } | undefined;
  for (const a of right) {
    for (const b of left) {
      const widening = (a.offset + b.offset) / latitude;
      if (Math.abs(widening) >= match.widening) continue;
      const shift = (a.offset - b.offset) / 2 / reach;
      const sight = likely(a, b);
      if (sight < match.leastLikely) continue;
      const clear = (Math.sqrt(a.slope) + Math.sqrt(b.slope)) * sight;
      const worth = clear * Math.exp(-0.5 * widening ** 2 - 0.5 * shift ** 2);
      if (!best || worth > best.worth) best = { pair: [a, b], worth };
    }
  }
  return best?.pair;
}

function bestSingle(
  all: readonly Candidate[],
  reach: number,
  sight: (candidate: Candidate) => number,
): Candidate | undefined {
  let best: { candidate: Candidate; worth: number } | undefined;
  for (const candidate of all) {
    const seen = sight(candidate);
    if (seen < match.leastLikely) continue;
    const worth = seen * Math.sqrt(candidate.slope) * Math.exp(-0.5 * (candidate.offset / (0.5 * reach)) ** 2);
    if (!best || worth > best.worth) best = { candidate, worth };
  }
  return best?.candidate;
}

const toPoint = (t: number, { side, pixel, normal, slope }: Candidate, paired: boolean): OutlinePoint => ({
  t,
  side,
  pixel,
  normal,
  slope,
  paired,
});

/** The edges that may be one side's outline; undefined where that side would not show clearly. */
function candidates(
  seen: LaneStation,
  camera: Camera,
  station: AxisStation,
  side: 1 | -1,
  { reach, finish }: { reach: number; finish: Blank['finish'] },
): Candidate[] | undefined {
  const q = outlineDirection(station, cameraCentre(camera), side);
  if (!clearEdge(station, q)) return [];
  const at = project(camera, addScaled(station.point, q, station.radius));
  const beyond = project(camera, addScaled(station.point, q, station.radius + 1));
  if (!at || !beyond) return undefined;
  const perMm = Math.hypot(beyond[0] - at[0], beyond[1] - at[1]);
  const normal: Pixel = [(beyond[0] - at[0]) / perMm, (beyond[1] - at[1]) / perMm];
  const reachPixels = Math.max(reach * perMm, match.leastReach);
  // Where the modelled outline meets the walk, and how the walk runs against the outline's normal.
  const [dx, dy] = seen.across;
  const square = dx * normal[0] + dy * normal[1];
  const place = ((at[0] - seen.middle[0]) * normal[0] + (at[1] - seen.middle[1]) * normal[1]) / square;
  const outward = Math.sign(square);
  const { first, blue } = seen.chroma;
  if (Math.abs(square) < 0.5 || place - reachPixels < first || place + reachPixels > first + blue.length)
    return undefined;
  const edges = seen.edges
    .filter(
      (e) => Math.abs(e.d - place) < reachPixels && e.slope !== 0 && (e.slope * outward > 0 || finish === 'light'),
    )
    .map((e) => ({
      offset: (e.d - place) * outward,
      slope: Math.abs(e.slope),
      inside: outward > 0 ? e.below : e.above,
    }));
  const colour = colourEdge(seen, place, outward, reachPixels, station.radius * perMm);
  // On a coloured blank the colour tells its edge from its shadow's; colour is too coarse to measure by where luma
  // agrees.
  const agreeing =
    colour === undefined ? edges : edges.filter((e) => Math.abs(e.offset - colour) < match.colourAgreement);
  if (colour !== undefined && agreeing.length === 0) {
    // nothing is known of its luma, and it has all the colour there is
    const inside: Colour = [seen.paper[0], seen.paper[1] + seen.mostColour, seen.paper[2]];
    agreeing.push({ offset: colour, slope: match.colourSlope, inside });
  }
  return agreeing.map(({ offset, slope, inside }) => {
    const d = place + offset * outward;
    const pixel: Pixel = [seen.middle[0] + d * dx, seen.middle[1] + d * dy];
    return { side, pixel, normal, offset: (offset * Math.abs(square)) / perMm, d, outward, slope, inside };
  });
}

/** Where the blank's colour gives way to the ground's, pixels outward, when the blank has a colour of its own. */
function colourEdge(
  { chroma: { first, blue, red } }: LaneStation,
  place: number,
  outward: number,
  reach: number,
  radius: number,
): number | undefined {
  const step = 0.5;
  const inner = Math.min(reach, radius);
  const n = Math.round((inner + reach) / step);
  const colour = (offset: number): [number, number] => {
    const x = Math.min(Math.max(place + offset * outward - first, 0), blue.length - 1.001);
    const i = Math.floor(x);
    const f = x - i;
    return [blue[i]! + f * (blue[i + 1]! - blue[i]!), red[i]! + f * (red[i + 1]! - red[i]!)];
  };
  const ground = colour(reach);
  const distance = Array.from({ length: n + 1 }, (_, i) => {
    const [b, r] = colour(-inner + i * step);
    return Math.hypot(b - ground[0], r - ground[1]);
  });
  const own = distance.slice(0, Math.max(2, Math.round(inner / step / 2)));
  const level = orderStatistic(own, 0.5)! / 2;
  if (!(level > match.leastColour / 2)) return undefined;
  for (let i = n; i > 0; i--) {
    const p = distance[i - 1]!;
    const q = distance[i]!;
    if (p >= level && q < level) return -inner + (i - 1 + (p - level) / (p - q)) * step;
  }
  return undefined;
}
