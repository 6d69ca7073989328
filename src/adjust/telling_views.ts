import { besideAxis, type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import type { Vector3 } from '../geometry/vector.ts';
import { isInPhoto, noBorder } from '../geometry/in_photo.ts';
import type { RingGuide } from '../plan/plan.ts';
import { projectionRows } from '../vision/rim_edges.ts';
import type { PerView, View, ViewIndex } from '../vision/strip.ts';
import { viewNear } from '../vision/view_near.ts';
import type { FittedRing } from './fitted_ring.ts';
import type { RingCandidate } from './ring_candidate.ts';
import { measureRing } from './measure_rings.ts';

/**
 * A ring's rims are read in so many photos at most: what light and shading do to all of them alike is then most of its
 * doubt, and each further photo takes as long as the one before (chosen, no source).
 */
export const mostTelling = 16;

/**
 * A ring is looked for so many of its radii and mm round where it was seen: lines may go on beyond it, and a fit may
 * stray.
 */
const lookedRound = { radii: 2.5, mm: 25 } as const;

/** A candidate with what photos show round it, ready to be measured. */
export interface RingLookedAt {
  views: View[];
  axis: BlankAxis;
  /** its sightings counted among these views */
  candidate: RingCandidate;
  guides: readonly RingGuide[];
  planned?: RingGuide | undefined;
}

/** What is measured of a ring that is looked at so. */
export const measureLookedAt = ({ views, axis, candidate, guides, planned }: RingLookedAt): FittedRing =>
  measureRing(views, axis, candidate, guides, planned);

/**
 * A candidate to be measured by its rims, in the photos that tell most of it where many show it. Of each photo only
 * what lies round the ring is held meanwhile: a fit goes over all of them a hundred times. `amongAll` = the ring that
 * was measured so, its views counted among all.
 */
export function whereItTells(
  views: PerView<View>,
  axis: BlankAxis,
  candidate: RingCandidate,
  guides: readonly RingGuide[],
  planned?: RingGuide,
): { looked: RingLookedAt; amongAll: (ring: FittedRing) => FittedRing } {
  const { along, right, up, outer } = candidate;
  const centre = besideAxis(crossSection(axis, along), right, up);
  const reach = lookedRound.radii * outer + lookedRound.mm;
  const near = (tellingViews(views, axis, candidate) ?? [...views.keys()]).flatMap((index) => {
    const view = viewNear(views[index]!, centre, reach);
    // a photo that shows nothing round the ring tells nothing of it
    return view ? [{ index, view }] : [];
  });
  const chosen = near.map(({ index }) => index);
  const sightings = candidate.sightings.flatMap((sighting) => {
    const view = chosen.indexOf(sighting.view);
    return view < 0 ? [] : [{ ...sighting, view }];
  });
  return {
    looked: { views: near.map(({ view }) => view), axis, candidate: { ...candidate, sightings }, guides, planned },
    amongAll: (ring) => ({
      ...ring,
      candidate,
      views: ring.views.map((view) => chosen[view]!),
      rims: ring.rims.map((rim) => ({ ...rim, view: chosen[rim.view]! })),
    }),
  };
}

/**
 * Of many photos that show a ring those that together tell its centre best, in the photos' order; undefined where there
 * are no more than are read. One after the other the photo is taken that adds most to the determinant of the centre's
 * information (D-optimal design, Fedorov 1972), those with a sighting of it first.
 */
export function tellingViews(
  views: PerView<View>,
  axis: BlankAxis,
  { along, right, up, sightings }: RingCandidate,
): readonly ViewIndex[] | undefined {
  const centre = besideAxis(crossSection(axis, along), right, up);
  const showing = views.flatMap(({ photo, camera }, view) => {
    const at = projectionRows(camera, centre);
    if (!at || !isInPhoto(photo, at.pixel, noBorder)) return [];
    return [{ view, rows: [at.u, at.v] as const, sighted: sightings.some((s) => s.view === view) }];
  });
  if (showing.length <= mostTelling) return undefined;
  let information: Information = [hardlyKnown, 0, 0, hardlyKnown, 0, hardlyKnown];
  const chosen: ViewIndex[] = [];
  while (chosen.length < mostTelling) {
    const open = showing.filter(({ view }) => !chosen.includes(view));
    const sighted = open.filter((one) => one.sighted);
    const [best] = (sighted.length > 0 ? sighted : open)
      .map(({ view, rows }) => ({ view, with: rows.reduce(withRow, information) }))
      .sort((a, b) => determinant(b.with) - determinant(a.with) || a.view - b.view);
    chosen.push(best!.view);
    information = best!.with;
  }
  return chosen.sort((a, b) => a - b);
}

/** What is known of a centre before any photo, information a mm squared: so little that it decides nothing. */
const hardlyKnown = 1e-9;

/** A symmetric matrix's upper half, row by row. */
type Information = readonly [number, number, number, number, number, number];

const withRow = ([a, b, c, d, e, f]: Information, [x, y, z]: Vector3): Information => [
  a + x * x,
  b + x * y,
  c + x * z,
  d + y * y,
  e + y * z,
  f + z * z,
];

const determinant = ([a, b, c, d, e, f]: Information): number =>
  a * (d * f - e * e) - b * (b * f - c * e) + c * (b * e - c * d);
