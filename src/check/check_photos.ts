import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import type { FittedMark } from '../adjust/mark_fit.ts';
import type { MatSolution } from '../adjust/mat_adjustment.ts';
import type { PlannedGuide } from '../adjust/fit_rings.ts';
import { axisPoint } from '../geometry/blank_axis.ts';
import { cameraCentre } from '../geometry/camera.ts';
import { norm, subtract } from '../geometry/vector.ts';
import { spanUncertainty } from '../mat/readings.ts';
import { tagPlace, tileNumber } from '../mat/tile.ts';
import type { Photo } from '../photo/photo.ts';
import { photoQuality } from '../photo/quality.ts';
import { InputError } from '../plan/input_error.ts';
import type { MatReadings } from '../plan/shoot.ts';
import type { MeasuredScale } from '../verdict/measured_shoot.ts';
import type { View } from '../vision/strip.ts';
import { stripShift } from '../vision/strip_shift.ts';
import { explainNoTags, type TagReading } from '../vision/tags.ts';

/** A photo with the tags read in it. */
export interface TaggedView {
  photo: Photo;
  reading: TagReading;
}

/** The views that the adjustment placed, and which photo each is. */
export interface PlacedViews {
  list: View[];
  photo: number[];
}

export function placedViews(tagged: readonly TaggedView[], mat: MatSolution): PlacedViews {
  const list: View[] = [];
  const photo: number[] = [];
  tagged.forEach((view, i) => {
    const camera = mat.cameras[i];
    if (!camera) return;
    list.push({ photo: view.photo, camera });
    photo.push(i);
  });
  return { list, photo };
}

const matTags = (reading: TagReading) => reading.tags.filter((tag) => tagPlace(tag.id) !== undefined);

/** Throws InputError where nothing can be measured: no photo shows tags of the mat. Says the likeliest reason. */
export async function refuseWithoutTags(tagged: readonly TaggedView[]): Promise<void> {
  if (tagged.some(({ reading }) => matTags(reading).length >= 2)) return;
  const first = tagged[0];
  if (!first) throw new InputError('The shoot names no photos: add at least one photo of the rod on the mat.');
  const double = tagged.find(({ reading }) => reading.twice.length > 0);
  if (double)
    throw new InputError(
      `${double.photo.file} shows the same page of the mat twice (tag ${double.reading.twice[0]} at two places): keep one mat in view, each page once, and shoot again.`,
    );
  const { file } = first.photo;
  const reason = await explainNoTags(first.photo);
  if (reason === 'mirrored')
    throw new InputError(
      `${file} is mirrored, left for right: turn mirroring off in the camera, or save the photo as it was taken.`,
    );
  if (reason === 'other-family')
    throw new InputError(
      `${file} shows tags of another family than the mat's: print the mat from this app and shoot over it.`,
    );
  throw new InputError(
    `${file} shows none of the mat's tags: lay the rod on the printed mat, with both rows of squares in view, sharp and evenly lit.`,
  );
}

/** Throws InputError when a page lay differently in one photo than in the others. */
export function refuseIfPagesMoved(tagged: readonly TaggedView[], mat: MatSolution): void {
  const moved = mat.moved.toSorted((a, b) => b.byMm - a.byMm)[0];
  if (moved)
    throw new InputError(
      `In ${tagged[moved.photo]!.photo.file} page ${tileNumber(moved.tile)} lies about ${Math.max(moved.byMm, 0.5).toFixed(1)} mm from where the other photos have it: something moved between the photos; tape the pages down and take the walk again.`,
    );
}

/** Throws InputError when the rod lay elsewhere across the mat in one photo than in the others. */
export function refuseIfRodMoved(tagged: readonly TaggedView[], blank: BlankSolution): void {
  const worst = blank.misses.reduce((best, miss, i) => (Math.abs(miss) > Math.abs(blank.misses[best]!) ? i : best), 0);
  const miss = Math.abs(blank.misses[worst] ?? 0);
  if (miss > movedRod)
    throw new InputError(
      `In ${tagged[worst]!.photo.file} the blank lies about ${miss.toFixed(1)} mm from where the other photos have it: the rod moved between the photos; take the walk again without touching it.`,
    );
}

/** A blank this far from the common axis in the middle of a photo has moved, mm: outlines agree to a tenth of that. */
const movedRod = 0.7;

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

/** Sentences on one photo: what is wrong with it and what to do. */
export function photoProblems({ photo, reading }: TaggedView, placed: boolean): string[] {
  const problems: string[] = [];
  const own = matTags(reading).length;
  if (own === 0)
    problems.push('No mat tags were read in this photo, so it was not used: keep both rows of squares in view.');
  else if (!placed)
    problems.push(
      'This photo shows no page that another photo shows well too, so it was not used: let neighbouring photos overlap by a page.',
    );
  if (reading.twice.length > 0)
    problems.push(
      `Tag ${reading.twice.join(', ')} shows at two places: is the same page printed twice, or a second mat in view? Those tags were left out.`,
    );
  if (reading.foreign.length > 0)
    problems.push(`Tag ${reading.foreign.join(', ')} belongs to no page of the mat and was left out.`);
  for (const problem of photoQuality(photo, reading.tags).problems) problems.push(problem.message);
  return problems;
}

/**
 * A ring of this many pixels across would have been found in one photo; of fewer, down to the second number, in two. A
 * mark's band needs far fewer.
 */
const ringPixels = { one: 40, two: 13 };

/**
 * Stretches of blank (mm from its tip-side end) seen so well that a planned ring (or, without guides, a mark) there would
 * have been found: elsewhere a place without one is not seen, not missing.
 */
export function coveredStretches(
  tagged: readonly TaggedView[],
  mat: MatSolution,
  blank: BlankSolution,
  guides: readonly PlannedGuide[],
): { from: number; to: number }[] {
  const smallest = Math.min(...guides.map(({ guide }) => guide.ringOuter));
  const seen = tagged.flatMap((_, i) => {
    const stretch = blank.covers[i];
    const camera = mat.cameras[i];
    if (!stretch || !camera) return [];
    const distance = norm(subtract(cameraCentre(camera), axisPoint(blank.axis, (stretch.from + stretch.to) / 2)));
    const pixels = guides.length > 0 ? (smallest * camera.intrinsics.focal) / distance : Number.POSITIVE_INFINITY;
    return [{ stretch, pixels }];
  });
  const fair = seen.filter(({ pixels }) => pixels >= ringPixels.two);
  const twice = fair.flatMap((a, i) =>
    fair.slice(i + 1).map((b) => ({
      from: Math.max(a.stretch.from, b.stretch.from),
      to: Math.min(a.stretch.to, b.stretch.to),
    })),
  );
  return [
    ...seen.filter(({ pixels }) => pixels >= ringPixels.one).map(({ stretch }) => stretch),
    ...twice.filter(({ from, to }) => from < to),
  ];
}

/** Whitened residual beyond which two readings contradict each other. */
const contradiction = 3.5;

/**
 * The print scale with its doubt. Where bars and span contradict each other, what they disagree by becomes the doubt and
 * nothing is passed on it.
 */
export function scaleAsFound(
  mat: MatSolution,
  relative: number,
  readings: MatReadings,
): MeasuredScale & { notes: string[] } {
  const notes: string[] = [];
  let u = relative;
  let measured = readings.barAlong !== undefined || mat.readings.span !== undefined;
  const bar = mat.readings.barAlong ?? 0;
  const span = mat.readings.span ?? 0;
  if (Math.abs(bar) > contradiction || Math.abs(span) > contradiction) {
    const bySpan = readings.span ? (Math.abs(span) * spanUncertainty(readings.span.length)) / readings.span.length : 0;
    const gap = (Math.abs(bar) * 0.1) / 100 + bySpan;
    u = Math.max(u, gap);
    measured = false;
    notes.push(
      `The bar along (${readings.barAlong} mm) and the span (${readings.span?.length} mm) contradict each other by ${(100 * gap).toFixed(1)} %: measure both again, the bar with a rule and the span with the tape that laid off the marks.`,
    );
  }
  if (readings.span && mat.readings.span === undefined)
    notes.push('The span was not used: its two tags are not both on pages that the photos show.');
  return { along: mat.printScale.along, across: mat.printScale.across, u, measured, notes };
}
