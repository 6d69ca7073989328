import type { ViewIndex } from '../vision/strip.ts';
import {
  type GuideByPhoto,
  type GuideReading,
  type Solved,
  solveSlide,
  solveSlides,
  type ViewsOff,
} from './guide_problem.ts';
import { isTold, type Slide, toldSlide } from './slide.ts';

/** When guides tell a slide (lengths in mm). */
const telling = {
  /** photos to either side that are asked: farther ones show other guides */
  asked: 12,
  /**
   * a slide must explain this much (squared deviations; on drawn walks at rest none of 97 explained more than 2.4: the
   * doubt is told twice too large), with any one of the guides left out `gainWithoutOne`
   */
  gain: 9,
  gainWithoutOne: 4,
  /** guides that both sides must show */
  guides: 2,
  /** what explains less is nothing */
  hint: 4,
  /** starts so far apart, mm; another slide lies so far off at least and must be this much less likely */
  startEvery: 0.4,
  elsewhere: 0.5,
  rival: 9,
} as const;

/** A slide that guides speak for, and how surely. */
export interface GuideSlide extends Slide {
  /**
   * `measured`: certain, and known by how much; `certain`: by how much no guides agree on; `possible`: it may be chance
   */
  told: 'measured' | 'certain' | 'possible';
}

/**
 * Where the rod slid between two photos by what single photos show of its guides, the likeliest place; undefined where
 * nothing speaks for one. Each photo may be off along as a whole, the axis by its height, each guide by its own; one
 * shift of all later photos must beat all of that.
 */
export function slideByGuides(guides: readonly GuideByPhoto[], off: ViewsOff): GuideSlide | undefined {
  let best: (Tried & { from: ViewIndex; gain: number }) | undefined;
  for (let from = 1; from < off.drift.length; from++) {
    const near = nearSlide(guides, from);
    if (near.filter((guide) => bothSides(guide, from)).length < telling.guides) continue;
    const resting = solveSlide(near, off, from, undefined);
    if (resting.cost < telling.hint) continue;
    // Most walks lay still: one start tells whether all are worth their time.
    const differences = differencesOf(near, from);
    const middle = differences[differences.length >> 1]!;
    if (resting.cost - solveSlide(near, off, from, middle).cost < telling.hint) continue;
    const tried = likeliestSlide(near, off, from, differences);
    const gain = resting.cost - tried.cost;
    if (gain > (best?.gain ?? telling.hint)) best = { ...tried, from, gain };
  }
  return best && { from: best.from, along: best.along, told: howTold(best, guides, off) };
}

/** Whether guides that both sides of a slide show speak for none there: none that goes its way explains enough. */
export function guidesDeny(guides: readonly GuideByPhoto[], off: ViewsOff, { from, along }: Slide): boolean {
  const near = nearSlide(guides, from);
  if (near.filter((guide) => bothSides(guide, from)).length < telling.guides) return false;
  const slid = solveSlide(near, off, from, along.value);
  const gain = solveSlide(near, off, from, undefined).cost - slid.cost;
  return gain < telling.hint || slid.along.value * along.value < 0;
}

/** How surely a slide is told: it must be so with any one of its guides left out. */
function howTold(
  { from, along, gain, rival }: Tried & { from: ViewIndex; gain: number },
  guides: readonly GuideByPhoto[],
  off: ViewsOff,
): GuideSlide['told'] {
  if (gain < telling.gain || Math.abs(along.value) < toldSlide.least) return 'possible';
  const near = nearSlide(guides, from);
  const withoutOne = near.map((one) => {
    const others = near.filter((guide) => guide !== one);
    const slid = solveSlide(others, off, from, along.value);
    return slid.along.value * along.value > 0 ? solveSlide(others, off, from, undefined).cost - slid.cost : 0;
  });
  if (withoutOne.some((less) => less < telling.gainWithoutOne)) return 'possible';
  return isTold(along) && rival > telling.rival ? 'measured' : 'certain';
}

const bothSides = ({ readings }: GuideByPhoto, from: ViewIndex): boolean =>
  readings.some(({ view }) => view < from) && readings.some(({ view }) => view >= from);

/** What the photos nearest to a slide show of guides that at least two of them do. */
const nearSlide = (guides: readonly GuideByPhoto[], from: ViewIndex): GuideByPhoto[] =>
  guides.flatMap((guide) => {
    const readings = guide.readings.filter(({ view }) => view >= from - telling.asked && view < from + telling.asked);
    return readings.length > 1 ? [{ ...guide, readings }] : [];
  });

/** A slide with how much worse (squared deviations) the next likeliest one is that lies elsewhere. */
interface Tried extends Solved {
  rival: number;
}

/** What guides show between the two sides of a slide, each place against each, in order; mm. */
function differencesOf(near: readonly GuideByPhoto[], from: ViewIndex): number[] {
  const offs = (list: readonly GuideReading[]) => list.flatMap(({ places }) => places.map((place) => place.off));
  return near
    .flatMap(({ readings }) => {
      const [before, after] = [readings.filter(({ view }) => view < from), readings.filter(({ view }) => view >= from)];
      return offs(after).flatMap((a) => offs(before).map((b) => a - b));
    })
    .sort((a, b) => a - b);
}

/** The likeliest slide from one view on, tried from every difference that guides show. */
function likeliestSlide(
  near: readonly GuideByPhoto[],
  off: ViewsOff,
  from: ViewIndex,
  differences: readonly number[],
): Tried {
  const starts = new Set(differences.map((d) => Math.round(d / telling.startEvery) * telling.startEvery));
  const tried = [...starts].flatMap((about) => solveSlides(near, off, from, about)).sort((a, b) => a.cost - b.cost);
  const [best, ...others] = tried;
  const elsewhere = others.find(
    ({ along }) => Math.abs(along.value - best!.along.value) > Math.max(telling.elsewhere, 3 * best!.along.u),
  );
  return { ...best!, rival: (elsewhere?.cost ?? Number.POSITIVE_INFINITY) - best!.cost };
}
