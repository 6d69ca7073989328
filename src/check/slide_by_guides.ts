import type { FittedRing } from '../adjust/fitted_ring.ts';
import { ringByPhoto, sightedByPhoto } from '../adjust/guide_by_photo.ts';
import type { GuideByPhoto, ViewsOff } from '../adjust/guide_problem.ts';
import { guidesDeny, type GuideSlide, slideByGuides } from '../adjust/guide_ties.ts';
import { ringShapes } from '../adjust/ring_state.ts';
import { heightOf } from '../adjust/sighted_size.ts';
import type { RingCandidate } from '../adjust/ring_candidate.ts';
import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { InputError } from '../plan/input_error.ts';
import { oneOfTwo, shownName } from '../plan/shown_name.ts';
import { isTold, type Slide, undone } from '../adjust/slide.ts';
import type { Estimate } from '../numerics/estimate.ts';
import type { Rest } from '../plan/shoot.ts';
import type { PerView, View } from '../vision/strip.ts';
import type { PlannedGuide } from './find_rings.ts';
import type { FoundSnake } from './find_snakes.ts';
import { driftOf, type Rod, type RodAsked } from './rod.ts';
import { heightOff } from './slide.ts';

/** A ring is the planned one whose place and outer diameter lie this near, mm and as a share. */
const planned = { near: 15, size: 0.8, sizeShare: 0.15 } as const;

/** The guides on a rod, each asked in each photo by itself, with what the photos and the axis's height may be off. */
interface GuidesAsked {
  guides: GuideByPhoto[];
  off: ViewsOff;
}

/** Where the rod slid by the guides on it, each asked in each photo by itself; undefined where none speaks for it. */
export function slideOfGuides(...asked: Parameters<typeof askGuides>): GuideSlide | undefined {
  if (asked[0].views.list.length < 2) return undefined;
  const { guides, off } = askGuides(...asked);
  return slideByGuides(guides, off);
}

/** Whether the guides on a rod, each asked in each photo by itself, speak against a slide that other things show. */
export function slideDeniedByGuides(slide: Slide, ...asked: Parameters<typeof askGuides>): boolean {
  const { guides, off } = askGuides(...asked);
  return guidesDeny(guides, off, slide);
}

function askGuides(
  rod: Rod,
  { rings, snakes }: { rings: readonly FittedRing[]; snakes: readonly FoundSnake[] },
  guides: readonly PlannedGuide[],
  rest: Rest,
): GuidesAsked {
  const { views, blank } = rod;
  const bySnakes = snakes.map(({ candidate }) => snakeByPhoto(views.list, blank.axis, candidate));
  const byRings = rings.map(
    (ring): GuideByPhoto => ({
      along: ring.along,
      rise: risesTo(heightByPlan(ring, guides), ring.height),
      countedOver: ring.ringOuter / 2,
      readings: ringByPhoto(views.list, blank.axis, ring),
    }),
  );
  return { guides: [...byRings, ...bySnakes], off: { drift: driftOf(rod), height: heightOff[rest.kind] } };
}

const risesTo = ({ value, u }: Estimate, from: number): Estimate => ({ value: value - from, u });

function snakeByPhoto(views: PerView<View>, axis: BlankAxis, candidate: RingCandidate): GuideByPhoto {
  const { along, right, up, outer } = candidate;
  const { mean, sigma } = heightOf('snake', outer);
  const rise = risesTo({ value: mean, u: sigma }, Math.hypot(right, up) - blankRadius(axis, along));
  return { along, rise, countedOver: 0, readings: sightedByPhoto(views, axis, candidate, candidate) };
}

/** How high the plan has a ring over the blank, mm; as its size lets one expect where it is none of the plan's. */
function heightByPlan({ along, ringOuter }: FittedRing, guides: readonly PlannedGuide[]): Estimate {
  const [nearest] = guides
    .filter(({ at, guide }) => {
      const size = Math.abs(guide.ringOuter - ringOuter);
      return Math.abs(at - along) < planned.near && size < planned.size + planned.sizeShare * ringOuter;
    })
    .sort((a, b) => Math.abs(a.at - along) - Math.abs(b.at - along));
  if (nearest) {
    const [least, share] = ringShapes.planned.height;
    const { height } = nearest.guide;
    return { value: height, u: least + share * height };
  }
  const { mean, sigma } = heightOf('ring', ringOuter / 2);
  return { value: mean, u: sigma };
}

/**
 * The slide for which the rod is to be looked at anew: one that guides measure; or one that bands told, taken back,
 * where what guides speak for there leaves it no larger than its doubt: they are asked of the rod at rest then.
 */
export function slideToLookAnewFor(by: GuideSlide | undefined, byBands: readonly Slide[]): Slide | undefined {
  if (!by || by.told === 'measured') return by;
  const here = byBands.find(({ from }) => from === by.from);
  if (!here) return undefined;
  const { value, u } = here.along;
  const stands = by.told === 'possible' && isTold({ value, u: Math.hypot(u, by.along.value, by.along.u) });
  return stands ? undefined : undone(here);
}

/** How often the rod is looked at anew for slides that its guides tell: two of them, and one taken back. */
const mostTurns = 3;

/**
 * What is on the rod once slides that its guides measure are taken into account, and those of bands that they don't
 * bear out taken back; `by` = what they still speak for then. `lookAnew` = finds it with a slide more, or one less.
 */
export async function lookedAnewForSlides<Found extends { rod: Rod }>(
  first: Found,
  slideOf: (found: Found) => GuideSlide | undefined,
  lookAnew: (slid: NonNullable<RodAsked['slid']>) => Promise<Found>,
): Promise<{ found: Found; by: GuideSlide | undefined }> {
  const byBands = first.rod.slides;
  let [found, by] = [first, slideOf(first)];
  for (let turn = 0; turn < mostTurns; turn++) {
    const { rod: before } = found;
    const stillByBands = before.slides.filter((slide) => byBands.includes(slide));
    const more = slideToLookAnewFor(by, stillByBands);
    if (!more) break;
    found = await lookAnew({ before, by: more });
    by = slideOf(found);
  }
  return { found, by };
}

/** Throws InputError where guides tell that the rod slid, but not by how much. `between` = the photos' files. */
export function refuseIfUnmeasured({ told }: GuideSlide, between: readonly [string, string]): void {
  if (told !== 'certain') return;
  const [before, after] = between.map((file) => shownName(file, oneOfTwo));
  throw new InputError(
    `Between ${before} and ${after} the rod slid lengthwise, and the guides do not tell by how much: hold it in place with a weight or tape, and take the walk again without touching it.`,
  );
}

/** A slide that may be chance, as it is left in doubt: nothing is counted back, and all of it may have been. */
export const doubtedWhole = ({ from, along: { value, u } }: Slide): Slide => ({
  from,
  along: { value: 0, u: Math.hypot(value, u) },
});

/** What is said of a slide that may be chance. `between` = the photos' files. */
export function possibleSlideNote({ along: { value } }: Slide, between: readonly [string, string]): string {
  const [before, after] = between.map((file) => shownName(file, oneOfTwo));
  return `Between ${before} and ${after} the rod may have slid lengthwise, by about ${Math.abs(value).toFixed(1)} mm, which is counted into the doubt along: hold it with a weight or tape and take the walk again.`;
}
