import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import type { FittedMark } from '../adjust/mark_fit.ts';
import { InputError } from '../plan/input_error.ts';
import { stripShift } from '../vision/strip_shift.ts';
import type { PlacedViews, TaggedView } from './tagged_views.ts';

/** Shifts this alike are one shift, mm; a slide of less hides in the marks' own raggedness. */
const sameShift = 0.4;
/** Bands of different photos this near stand for one band on the rod, mm. */
const sameBand = 1;
const leastSlide = 0.8;
const greatestSlide = 20;

/** How many bands on the rod these places stand for. */
const bandCount = (places: readonly number[]): number => {
  const sorted = [...places].sort((a, b) => a - b);
  return sorted.filter((place, i) => i === 0 || place - sorted[i - 1]! > sameBand).length;
};

/** The lengthwise shift (mm) from one group of photos to another that their bands bear out against no shift. */
function slideBetween(before: readonly number[], after: readonly number[]): number | undefined {
  const shifts = before
    .flatMap((p) => after.map((q) => ({ p, q, d: q - p })))
    .filter(({ d }) => Math.abs(d) < greatestSlide);
  // A band bears a shift out once, however many neighbours it has in the other photos.
  const support = (shift: number) => {
    const agreeing = shifts.filter(({ d }) => Math.abs(d - shift) < sameShift);
    return Math.min(bandCount(agreeing.map(({ p }) => p)), bandCount(agreeing.map(({ q }) => q)));
  };
  const best = shifts.reduce((top, { d }) => (support(d) > support(top) ? d : top), 0);
  return Math.abs(best) >= leastSlide && support(best) >= 2 && support(best) >= support(0) + 2 ? best : undefined;
}

/**
 * Throws InputError when the rod slid lengthwise during the walk: the bands (marks, tape) of the photos before and of those
 * after, or of one photo and all others, then agree on one common shift, and not on none. The outline cannot tell: a blank
 * slides along itself. Two single photos cannot either: at a photo's far edge its bands may all be a little off.
 */
export function refuseIfSlid(
  tagged: readonly TaggedView[],
  views: PlacedViews,
  blank: BlankSolution,
  marks: readonly FittedMark[],
): void {
  const centres = views.list.map((_, view) =>
    marks.flatMap((mark) => mark.sightings.filter((s) => s.view === view).map((s) => (s.tipEdge + s.buttEdge) / 2)),
  );
  const file = (view: number) => tagged[views.photo[view]!]!.photo.file;
  const advice = 'hold it in place with a weight or tape, and take the walk again without touching it';
  for (let k = 1; k < centres.length; k++) {
    const slide = slideBetween(centres.slice(0, k).flat(), centres.slice(k).flat());
    if (slide !== undefined)
      throw new InputError(
        `Between ${file(k - 1)} and ${file(k)} the rod slid lengthwise by about ${Math.abs(slide).toFixed(1)} mm: ${advice}.`,
      );
  }
  for (const [k, own] of centres.entries()) {
    const slide = slideBetween(own, centres.filter((_, i) => i !== k).flat());
    if (slide !== undefined)
      throw new InputError(
        `In ${file(k)} the rod lies about ${Math.abs(slide).toFixed(1)} mm lengthwise from where the other photos have it: ${advice}.`,
      );
  }
  for (let b = 1; b < centres.length; b++) {
    for (let a = 0; a < b; a++) {
      const slide = slideByPattern(views, blank, a, b);
      if (slide !== undefined)
        throw new InputError(
          `Between ${file(a)} and ${file(b)} the rod slid lengthwise by about ${Math.abs(slide).toFixed(1)} mm: ${advice}.`,
        );
    }
  }
}

/** Feet and legs stand off the blank and shift a little from photo to photo: a slide by pattern alone must be larger, mm. */
const leastPatternSlide = 2.5;
const leastShared = 80;

/** How far the whole pattern on the blank (bands, tape, feet) has moved along from one photo to another, if it plainly has; mm. */
function slideByPattern(views: PlacedViews, blank: BlankSolution, a: number, b: number): number | undefined {
  const [p, q] = [blank.covers[views.photo[a]!], blank.covers[views.photo[b]!]];
  if (!p || !q) return undefined;
  // The tip itself is the strongest pattern of all, but it may lie in one photo's margin.
  const shared = { from: Math.max(p.from, q.from, 15), to: Math.min(p.to, q.to) };
  if (shared.to - shared.from < leastShared) return undefined;
  const { shift, best, unshifted } = stripShift(views.list[a]!, views.list[b]!, blank.axis, shared);
  const plain = Math.abs(shift) >= leastPatternSlide && best > 0.6 && best - unshifted > 0.5;
  return plain ? shift : undefined;
}
