import type { Slide } from '../adjust/band_problem.ts';
import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import { InputError } from '../plan/input_error.ts';
import { type StripShift, stripShift } from '../vision/strip_shift.ts';
import type { PlacedViews, TaggedView } from './tagged_views.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';
import type { PerView, Stretch, ViewIndex } from '../vision/strip.ts';
import type { PerPhoto } from '../photo/photo.ts';
import { oneOfTwo, shownName } from '../plan/shown_name.ts';

/** What the pattern on the blank must show to speak for a slide that no bands measured. */
const pattern = {
  /** a ring in front of the blank shifts with the camera: it is left out with so much of its legs on either side, mm */
  legs: 8,
  /**
   * feet and legs stand off the blank and shift a little from photo to photo: a slide by pattern alone must be larger,
   * mm
   */
  leastSlide: 2.5,
  /** both photos must show this much of the same blank, mm, away from the tip, which may lie in one photo's margin */
  leastShared: 80,
  clearOfTip: 15,
  /** correlation at the shift, and how much better than at none */
  leastBest: 0.6,
  leastGain: 0.5,
  /** what either half of the stretch tells by itself agrees with the whole, mm */
  halvesAgree: 1,
} as const;

/**
 * Throws InputError when everything on the blank together (tape, feet, marks) shows it slid lengthwise between two
 * photos where the bands were too few to measure by how much. `seen`: where each photo shows rings, which stand off the
 * blank.
 */
export function refuseIfSlid(
  tagged: PerPhoto<TaggedView>,
  views: PlacedViews,
  blank: BlankSolution,
  slides: readonly Slide[],
  seen: readonly StripSeen[],
): void {
  const standing = ringsInFront(views, seen);
  const file = (view: ViewIndex) => shownName(tagged[views.photo[view]!]!.photo.file, oneOfTwo);
  for (let b = 1; b < views.list.length; b++) {
    const a = b - 1;
    if (slides.some(({ from }) => from === b)) continue;
    const slide = slideByPattern(views, blank, [a, b], standing);
    if (slide !== undefined)
      throw new InputError(
        `Between ${file(a)} and ${file(b)} the rod slid lengthwise by about ${Math.abs(slide).toFixed(1)} mm: hold it in place with a weight or tape, and take the walk again without touching it.`,
      );
  }
}

/** The stretches of the blank before which each photo shows a ring. */
const ringsInFront = (views: PlacedViews, seen: readonly StripSeen[]): PerView<Stretch[]> =>
  views.list.map((_, index) =>
    seen
      .filter(({ view }) => view === index)
      .flatMap(({ sightings }) => sightings)
      .map(({ along, radius }) => ({ from: along - radius - pattern.legs, to: along + radius + pattern.legs })),
  );

/**
 * How far the whole pattern on the blank (bands, tape, feet) has moved along from one photo to another, if it plainly
 * has; mm.
 */
function slideByPattern(
  views: PlacedViews,
  blank: BlankSolution,
  [a, b]: readonly [ViewIndex, ViewIndex],
  standing: PerView<Stretch[]>,
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
  const halves = [compare({ from: shared.from, to: middle }), compare({ from: middle, to: shared.to })];
  const agree = halves.every((half) => isPlain(half) && Math.abs(half.shift - whole.shift) < pattern.halvesAgree);
  return agree ? whole.shift : undefined;
}

const isPlain = ({ shift, best, unshifted }: StripShift): boolean =>
  Math.abs(shift) >= pattern.leastSlide && best > pattern.leastBest && best - unshifted > pattern.leastGain;
