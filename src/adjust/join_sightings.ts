import type { BlankAxis } from '../geometry/blank_axis.ts';
import type { RingSighting } from '../vision/finder/sighting.ts';
import { stripPlace } from '../vision/finder/strip_place.ts';
import type { View, ViewIndex, PerView } from '../vision/strip.ts';
import {
  bySight,
  byWeight,
  centreOf,
  joining,
  placeCandidate,
  type RingCandidate,
  sightingSigma,
  weightOf,
} from './ring_candidate.ts';
import { radiusReading } from './sighted_size.ts';

/** Which sightings may be of one ring (held to the drawn rods of `join_sightings.test.ts`). */
const together = {
  /** a sighting's log likelihood ratio as a ring is no less than this: what is less sure joins nothing */
  leastWeight: -3,
  /** along the strips one ring's sightings lie within so many of its radii of one another, and mm more of its place */
  radii: 12,
  extra: 10,
} as const;

/**
 * Joins the photos' sightings into rings in space. A ring high above the blank shows at different places on different
 * photos' strips, and only sightings of one ring meet in one point at a height a guide can have. Every sighting belongs
 * to one ring at most, every ring has one sighting a photo at most; the order of sightings and photos does not matter.
 * No plan comes in.
 *
 * Every sighting, and every pair from two photos, is tried as a ring and gathers the best sighting that fits it from
 * each other photo; the heaviest of all is taken, its sightings leave, and so on (greedy multiple-hypothesis
 * association).
 */
export function joinSightings(
  views: PerView<View>,
  axis: BlankAxis,
  sightings: readonly RingSighting[],
): RingCandidate[] {
  const open = sightings.filter((s) => weightOf(s.score) > together.leastWeight && s.radius > 0).toSorted(bySight);
  const joined: RingCandidate[] = [];
  const taken = new Set<RingSighting>();
  let { groups, standing } = gatherAll(views, axis, open);
  for (;;) {
    const best = groups[0];
    if (!best) {
      // What stood in a place that lost it to another has been tried nowhere else.
      if (![...standing].some((s) => !taken.has(s))) break;
      ({ groups, standing } = gatherAll(
        views,
        axis,
        open.filter((s) => !taken.has(s)),
      ));
      if (groups.length === 0) break;
      continue;
    }
    joined.push(best);
    for (const sighting of best.sightings) taken.add(sighting);
    const left = open.filter((s) => !taken.has(s));
    groups = groups
      .flatMap((group) => {
        if (!group.sightings.some((s) => taken.has(s))) return [group];
        const seed = group.sightings.filter((s) => !taken.has(s)).slice(0, 2);
        return seed.length > 0 ? (gather(views, axis, seed, left) ?? []) : [];
      })
      .sort(byWeight);
  }
  return joined.sort((a, b) => a.along - b.along);
}

/** What each seed gathers, but for seeds with a sighting of a place that stands already. */
function gatherAll(
  views: PerView<View>,
  axis: BlankAxis,
  open: readonly RingSighting[],
): { groups: RingCandidate[]; standing: ReadonlySet<RingSighting> } {
  const standing = new Set<RingSighting>();
  const groups = seedsOf(open).flatMap((seed) => {
    if (seed.some((s) => standing.has(s))) return [];
    const group = gather(views, axis, seed, open);
    if (!group) return [];
    if (group.sightings.length >= joining.standing.sightings) for (const s of group.sightings) standing.add(s);
    return [group];
  });
  return { groups: groups.sort(byWeight), standing };
}

/** Every sighting, and pairs from two photos that may show one ring: with each sighting the nearest others. */
function seedsOf(sightings: readonly RingSighting[]): RingSighting[][] {
  const order = new Map(sightings.map((s, i) => [s, i]));
  const widest = together.radii * Math.max(...sightings.map(({ radius }) => radius));
  const along = sightings.toSorted((a, b) => a.along - b.along);
  const pairs = new Map<number, RingSighting[]>();
  for (const [i, a] of along.entries()) {
    const mayBeOne = (b: RingSighting) =>
      a.view !== b.view &&
      a.kind === b.kind &&
      Math.abs(Math.log(a.radius / b.radius)) < 2 * radiusReading.farthest &&
      Math.abs(a.along - b.along) < together.radii * Math.max(a.radius, b.radius);
    const ahead = nearest(along, i, 1, widest, mayBeOne);
    const behind = nearest(along, i, -1, widest, mayBeOne);
    const both = [...ahead, ...behind].sort((p, q) => Math.abs(p.along - a.along) - Math.abs(q.along - a.along));
    for (const b of both.slice(0, joining.standing.partners)) {
      const [early, late] = [order.get(a)!, order.get(b)!].sort((p, q) => p - q) as [number, number];
      pairs.set(early * sightings.length + late, [sightings[early]!, sightings[late]!]);
    }
  }
  const inOrder = [...pairs].sort(([a], [b]) => a - b).map(([, pair]) => pair);
  return [...sightings.map((s) => [s]), ...inOrder];
}

/** The first sightings to one side along the blank that may go with one, as many as are tried. */
function nearest(
  along: readonly RingSighting[],
  from: number,
  side: 1 | -1,
  reach: number,
  mayBeOne: (other: RingSighting) => boolean,
): RingSighting[] {
  const found: RingSighting[] = [];
  for (let i = from + side; i >= 0 && i < along.length && found.length < joining.standing.partners; i += side) {
    const other = along[i]!;
    if (Math.abs(other.along - along[from]!.along) >= reach) break;
    if (mayBeOne(other)) found.push(other);
  }
  return found;
}

/**
 * Adds to a seed, photo by photo, the sighting that fits best; undefined when the seed itself does not hold together.
 */
function gather(
  views: PerView<View>,
  axis: BlankAxis,
  seed: readonly RingSighting[],
  open: readonly RingSighting[],
): RingCandidate | undefined {
  const start = placeCandidate(views, axis, seed);
  if (!start) return undefined;
  const reach = together.radii * start.outer + together.extra;
  const near = new Map<ViewIndex, RingSighting[]>();
  for (const s of open)
    if (s.kind === seed[0]!.kind && Math.abs(s.along - start.along) < reach)
      near.set(s.view, [...(near.get(s.view) ?? []), s]);
  for (const { view } of start.sightings) near.delete(view);
  let group = start;
  let held: RingSighting[] = [];
  const placedAnew = () => (held.length > 0 ? placeCandidate(views, axis, [...group.sightings, ...held]) : group);
  for (const [, offered] of [...near].sort(([a], [b]) => a - b)) {
    if (group.sightings.length < joining.standing.sightings) {
      group = offered
        .flatMap((s) => placeCandidate(views, axis, [...group.sightings, s]) ?? [])
        .reduce((best, wider) => (byWeight(wider, best) < 0 ? wider : best), group);
      continue;
    }
    const fitting = showsWhere(views, axis, group, offered);
    if (fitting) held.push(fitting);
    if (held.length < joining.standing.share * group.sightings.length) continue;
    group = placedAnew() ?? group;
    held = [];
  }
  return placedAnew() ?? group;
}

/** Of one photo's sightings the one that shows nearest to where a place that stands must show, within the gate. */
function showsWhere(
  views: PerView<View>,
  axis: BlankAxis,
  group: RingCandidate,
  offered: readonly RingSighting[],
): RingSighting | undefined {
  const centre = centreOf(axis, [group.along, group.right, group.up]);
  const misses = offered.map((sighting) => {
    const at = stripPlace(views[sighting.view]!.camera, axis, centre, sighting.along);
    if (!at) return Number.POSITIVE_INFINITY;
    const sigma = sightingSigma(sighting.radius);
    return Math.max(Math.abs(sighting.along - at.along), Math.abs(sighting.across - at.across)) / sigma;
  });
  const least = Math.min(...misses);
  return least < joining.standing.gate ? offered[misses.indexOf(least)] : undefined;
}
