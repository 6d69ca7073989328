import type { Rest } from '../plan/shoot.ts';
import type { Stretch } from '../plan/stretch.ts';
import { type HintedSlide, ties } from '../adjust/band_problem.ts';
import type { Slide } from '../adjust/slide.ts';
import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { addScaled } from '../geometry/vector.ts';
import { InputError } from '../plan/input_error.ts';
import type { MarkSearchResult } from '../vision/mark_search.ts';
import { type StripShift, stripShift } from '../vision/strip_shift.ts';
import type { PlacedViews, TaggedView } from './tagged_views.ts';
import type { PlannedGuide } from './find_rings.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';
import { stripPlace } from '../vision/finder/strip_place.ts';
import type { PerView, View, ViewIndex } from '../vision/strip.ts';
import type { PerPhoto } from '../photo/photo.ts';
import { oneOfTwo, shownName } from '../plan/shown_name.ts';

/** How far the axis's height may be off, mm: on blocks of a known height outlines tell it better than lying flat. */
export const heightOff = { blocks: 0.5, flat: 1.2 } as const;

/** What the pattern on the blank must show to speak for a slide that no bands measured. */
const pattern = {
  /** a ring in front of the blank shifts with the camera: it is left out with so much of its legs on either side, mm */
  legs: 8,
  /**
   * feet, legs and tape over them stand off the blank and shift from photo to photo: a slide by pattern alone must be
   * larger, mm, and larger than what shows where they stand so far off, mm, and the axis so many times its doubt too
   * low
   */
  leastSlide: 2.5,
  standsOff: 2,
  sure: 3,
  /** both photos must show this much of the same blank, mm, away from the tip, which may lie in one photo's margin */
  leastShared: 80,
  clearOfTip: 15,
  /** correlation at the shift, and how much better than at none */
  leastBest: 0.6,
  leastGain: 0.5,
  /** what either half of the stretch tells by itself agrees with the whole, mm */
  halvesAgree: 1,
} as const;

/** The rod as it lies, and where each photo shows rings, which stand off the blank. */
export interface RodInPhotos {
  tagged: PerPhoto<TaggedView>;
  views: PlacedViews;
  blank: BlankSolution;
  slides: readonly Slide[];
  seen: readonly StripSeen[];
}

/**
 * Throws InputError when everything on the blank together (tape, feet, marks) shows it slid lengthwise between two
 * photos where the bands were too few to measure by how much, and neither the axis's height nor guides explain it with
 * the rod at rest. `deniedByGuides` = whether guides that both sides show speak for no slide there.
 */
export function refuseIfSlid(
  { tagged, views, blank, slides, seen }: RodInPhotos,
  rest: Rest,
  deniedByGuides: (slide: Slide) => boolean = () => false,
): void {
  const standing = ringsInFront(views.list, seen, pattern.legs);
  const file = (view: ViewIndex) => shownName(tagged[views.photo[view]!]!.photo.file, oneOfTwo);
  for (let b = 1; b < views.list.length; b++) {
    const a = b - 1;
    if (slides.some(({ from }) => from === b)) continue;
    const slid = slideByPattern(views, blank, [a, b], standing, heightOff[rest.kind]);
    if (slid === undefined || deniedByGuides({ from: b, along: { value: slid, u: pattern.halvesAgree } })) continue;
    throw new InputError(
      `Between ${file(a)} and ${file(b)} the rod slid lengthwise by about ${Math.abs(slid).toFixed(1)} mm: hold it in place with a weight or tape, and take the walk again without touching it.`,
    );
  }
}

/** The stretches of the blank before which each photo shows a ring, with so much on either side, mm. */
const ringsInFront = (views: PerView<View>, seen: readonly StripSeen[], beside: number): PerView<Stretch[]> =>
  views.map((_, index) =>
    seen
      .filter(({ view }) => view === index)
      .flatMap(({ sightings }) => sightings)
      .map(({ along, radius }) => ({ from: along - radius - beside, to: along + radius + beside })),
  );

/**
 * The bands that no view shows behind a ring there. Its rims, dark across the blank, shift with the camera, and several
 * rings of like height alike; tape and feet beside it lie on the blank and tell a slide.
 */
export function bandsClearOfRings(
  bands: MarkSearchResult,
  views: PerView<View>,
  seen: readonly StripSeen[],
): MarkSearchResult {
  const standing = ringsInFront(views, seen, besideRing);
  const isClear = ({ view, tipEdge, buttEdge }: MarkSearchResult['sightings'][0]) =>
    standing[view]!.every(({ from, to }) => buttEdge < from || tipEdge > to);
  return { ...bands, sightings: bands.sightings.filter(isClear) };
}

/** The finder places a ring to some tenths of a millimetre and its radius to a fifteenth, mm. */
const besideRing = 1.5;

/** How rings seen from both sides of a slide are asked about it. */
const witness = {
  /** how well a sighting places a ring, and how well its height is known, mm */
  sighting: 0.5,
  height: 1.2,
  /** to bear out what few bands tell, its height need not be what the plan says, mm: all may be measured to the top */
  heightByPlan: 5,
  /** a ring shows this near to where it is planned, mm, the slide allowed for */
  near: 15,
  /** squared deviations: one ring counts so many at most, and rings speak against a slide from so many on */
  most: 9,
  against: 4,
  /** rings of this many guides must speak for one that bands alone do not tell */
  fewest: 2,
} as const;

/** The rings that the photos show, and how high the plan has them. */
export interface RingsSeen {
  views: PerView<View>;
  axis: BlankAxis;
  seen: readonly StripSeen[];
  guides: readonly PlannedGuide[];
}

/**
 * Whether rings that photos on both sides of a slide show are better explained where they stand, as high as planned,
 * with the rod at rest: a ring's parallax is known by its height, and a slide comes on top of it.
 */
export function ringsDeny(slide: Slide, rings: RingsSeen): boolean {
  const { resting, moved } = askRings(slide, rings, witness.height);
  return resting + witness.against < moved;
}

/**
 * Whether rings on both sides bear a slide out so well that neither they nor the bands can agree by chance: those that
 * both photos show alike, whatever their height.
 */
export function ringsBearOut(slide: HintedSlide, rings: RingsSeen): boolean {
  const { resting, moved, asked } = askRings(slide, rings, witness.heightByPlan);
  const byChance = slide.chance * Math.exp((moved - resting) / 2);
  return asked >= witness.fewest && moved + witness.against * asked < resting && byChance < ties.chance;
}

/**
 * How badly the rings' places on both sides agree, the rod at rest or moved, in squared deviations, and how many were
 * asked; their heights known to so many mm.
 */
function askRings(
  { from, along: { value: slid } }: Slide,
  { views, axis, seen, guides }: RingsSeen,
  heightSigma: number,
) {
  const [before, after] = [
    seen.filter(({ view }) => view < from).toReversed(),
    seen.filter(({ view }) => view >= from),
  ];
  let [resting, moved, asked] = [0, 0, 0];
  for (const ring of guides) {
    const a = firstShowing(ring, views, axis, before, witness.near);
    const b = firstShowing(ring, views, axis, after, witness.near + Math.abs(slid));
    if (!a || !b) continue;
    const sigma = Math.hypot(Math.SQRT2 * witness.sighting, heightSigma * (b.perHeight - a.perHeight));
    const cost = (shift: number) =>
      Math.min(witness.most, ...b.misses.map((miss) => ((miss - a.misses[0]! - shift) / sigma) ** 2));
    resting += cost(0);
    moved += cost(slid);
    asked++;
  }
  return { resting, moved, asked };
}

/** The first of these photos that shows a ring near its planned place: how far off, along, the nearest first; mm. */
function firstShowing(
  { at, guide }: PlannedGuide,
  views: PerView<View>,
  axis: BlankAxis,
  strips: readonly StripSeen[],
  near: number,
) {
  for (const { view, sightings } of strips) {
    const expected = ringShows(views[view]!, axis, at, guide.height);
    if (!expected) continue;
    const misses = sightings
      .filter(({ kind }) => kind === 'ring')
      .map(({ along }) => along - expected.along)
      .filter((miss) => Math.abs(miss) < near)
      .sort((a, b) => Math.abs(a) - Math.abs(b));
    if (misses.length > 0) return { misses, perHeight: expected.perHeight };
  }
  return undefined;
}

/** Where a ring so high over the blank shows along a photo's strip, and how that moves with its height, mm a mm. */
function ringShows({ camera }: View, axis: BlankAxis, at: number, height: number) {
  const { point, up, radius } = crossSection(axis, at);
  const [low, high] = [0, 1].map((more) => stripPlace(camera, axis, addScaled(point, up, radius + height + more), at));
  return low && high && { along: low.along, perHeight: high.along - low.along };
}

/**
 * How far the whole pattern on the blank (bands, tape, feet) has moved along from one photo to another, if it plainly
 * has, and by more than the axis's height may be off; mm.
 */
function slideByPattern(
  views: PlacedViews,
  blank: BlankSolution,
  [a, b]: readonly [ViewIndex, ViewIndex],
  standing: PerView<Stretch[]>,
  height: number,
): number | undefined {
  const [p, q] = [blank.covers[views.photo[a]!], blank.covers[views.photo[b]!]];
  if (!p || !q) return undefined;
  const shared = { from: Math.max(p.from, q.from, pattern.clearOfTip), to: Math.min(p.to, q.to) };
  if (shared.to - shared.from < pattern.leastShared) return undefined;
  const compare = (stretch: Stretch) =>
    stripShift(views.list[a]!, views.list[b]!, blank.axis, stretch, [standing[a]!, standing[b]!]);
  const whole = compare(shared);
  if (whole.compared < pattern.leastShared || !isPlain(whole)) return undefined;
  // Never by one feature alone: a ring's legs, which shift with the camera, are one.
  const middle = (shared.from + shared.to) / 2;
  const [before, after] = [a, b].map((view) => ringShows(views.list[view]!, blank.axis, middle, 0));
  const perHeight = before && after && Math.abs(after.perHeight - before.perHeight);
  if (perHeight === undefined || Math.abs(whole.shift) < perHeight * (pattern.standsOff + pattern.sure * height))
    return undefined;
  const halves = [compare({ from: shared.from, to: middle }), compare({ from: middle, to: shared.to })];
  const agree = halves.every((half) => isPlain(half) && Math.abs(half.shift - whole.shift) < pattern.halvesAgree);
  return agree ? whole.shift : undefined;
}

const isPlain = ({ shift, best, unshifted }: StripShift): boolean =>
  Math.abs(shift) >= pattern.leastSlide && best > pattern.leastBest && best - unshifted > pattern.leastGain;
