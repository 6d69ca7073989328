import type { Stretch } from '../plan/stretch.ts';
import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { marker } from './band_edges.ts';
import type { BandCandidate } from './band_rows.ts';
import { type MarkSighting, measureBand } from './mark_band.ts';
import { paperColour, usualPaper } from './paper.ts';
import { acrossPlaces, straighten, type View, type ViewIndex, visibleStretch, type PerView } from './strip.ts';
import { applySymmetric, boxAverage, prominence, type StripRelief, stripRelief } from './strip_relief.ts';

/** The bands that one view shows, and the stretch of it that was searched, if it shows any. */
export interface MarksInView {
  sightings: MarkSighting[];
  searched: Stretch | undefined;
}

/** The bands of all views, in their order, and what was searched in each. */
export interface MarkSearchResult {
  sightings: MarkSighting[];
  searched: PerView<Stretch | undefined>;
}

export const joinMarkSearches = (inViews: PerView<MarksInView>): MarkSearchResult => ({
  sightings: inViews.flatMap(({ sightings }) => sightings),
  searched: inViews.map(({ searched }) => searched),
});

/** What is worth measuring as a band (common practice, no source; held to `marks.test.ts` and tests/world). */
const sought = {
  /**
   * rows of the strip, out to a share of the radius: beyond, the outline's blur brings in what lies behind the blank
   */
  rows: 21,
  limit: 0.85,
  /** mm to both sides over which columns are averaged before they are judged: a thin stroke's half width */
  evened: 0.4,
  /**
   * a band stands out by this many standard deviations of the blank's own texture (scaled by its tails): lower brings
   * up texture, higher loses faint marks
   */
  prominent: 7,
  /** what is as little of a chance, but no band yet: letters and dirt in company */
  noticeable: 4.5,
  /** mm of blank to each side of a band that its fit takes for level ground */
  ground: 2.2,
  /** a candidate is followed to this many times the widest marker's width, to see that it is too wide */
  followed: 3,
  /** sharpening's halo lies within so many mm of a band and is weaker than this share of it */
  haloWithin: 1.2,
  haloShare: 0.12,
  /** other things that stand out are counted up to so far around, mm, but for this much beside it */
  around: 14,
  skirt: 1.2,
  /** only what is this strong beside it takes ground from a band: noise and halos are its ground */
  rival: 0.25,
} as const;

/** Columns where the discriminant stays above half its peak, walking from a peak of the score. */
function candidates(
  relief: StripRelief,
  score: Float64Array,
  inverse: number[],
  half: number,
  step: number,
): BandCandidate[] {
  const { first, end, profile } = relief;
  const smooth = profile.map((channel) => boxAverage(channel, Math.max(half >> 1, 1), first, end));
  const taken = new Uint8Array(score.length);
  const order: number[] = [];
  for (let c = first + 1; c < end - 1; c++) {
    if (score[c]! > sought.prominent && score[c]! >= score[c - 1]! && score[c]! > score[c + 1]!) order.push(c);
  }
  order.sort((a, b) => score[b]! - score[a]!);
  const found: BandCandidate[] = [];
  for (const peak of order) {
    if (taken[peak] === 1) continue;
    const direction = applySymmetric(inverse, [smooth[0]![peak]!, smooth[1]![peak]!, smooth[2]![peak]!]);
    const along = (c: number): number =>
      direction[0] * smooth[0]![c]! + direction[1] * smooth[1]![c]! + direction[2] * smooth[2]![c]!;
    const top = along(peak);
    let from = peak;
    let to = peak;
    while (from > first && along(from - 1) > top / 2 && (to - from) * step < sought.followed * marker.widest) from--;
    while (to < end - 1 && along(to + 1) > top / 2 && (to - from) * step < sought.followed * marker.widest) to++;
    // The blur round a band belongs to the band: its flanks may not come up as bands of their own.
    const skirt = half + 1;
    for (let c = Math.max(from - skirt, first); c <= Math.min(to + skirt, end - 1); c++) taken[c] = 1;
    // Sharpening leaves a halo of the other sign beside a strong band.
    const near = Math.round(sought.haloWithin / step);
    const halo = found.some((strong) => {
      const gap = Math.max(strong.from - to, from - strong.to);
      return gap < near && score[peak]! < sought.haloShare * score[strong.peak]!;
    });
    if (!halo) found.push({ from, to, peak });
  }
  return found.sort((a, b) => a.from - b.from);
}

/** mm of blank around a candidate, but not its own, that stand out too. */
function busyAround(score: Float64Array, { from, to }: BandCandidate, step: number): number {
  const reach = Math.round(sought.around / step);
  const skirt = Math.round(sought.skirt / step);
  let count = 0;
  for (let c = Math.max(from - reach, 0); c <= Math.min(to + reach, score.length - 1); c++) {
    if ((c < from - skirt || c > to + skirt) && score[c]! > sought.noticeable) count++;
  }
  return count * step;
}

/**
 * Finds bands drawn across the blank in one photo by their profile along the straightened blank. A band is what stands
 * out of the blank's own texture (Mahalanobis distance of luma and colour), is as wide as a marker's stroke, shows on a
 * good part of the visible width, and whose pieces line up square across. Its two edges come from a blurred box fitted
 * to the profile in the colour that tells band from blank best (a linear discriminant, Fisher 1936). `range` = the arc
 * lengths to search, mm.
 */
export function searchMarks(view: View, index: ViewIndex, axis: BlankAxis, range: Stretch): MarksInView {
  const searched = visibleStretch(view, axis, range);
  const sightings: MarkSighting[] = [];
  if (searched === undefined) return { sightings, searched };
  const strip = straighten(view, axis, searched, acrossPlaces(sought.rows, sought.limit));
  const relief = stripRelief(strip, (s) => blankRadius(axis, s));
  if (relief === undefined) return { sightings, searched };
  const half = Math.round(sought.evened / strip.step);
  const { score, inverse } = prominence(relief, half);
  const all = candidates(relief, score, inverse, half, strip.step);
  for (const candidate of all) {
    const middle = strip.from + ((candidate.from + candidate.to) / 2) * strip.step;
    const strong = sought.rival * score[candidate.peak]!;
    const rivals = all.filter((other) => other !== candidate && score[other.peak]! > strong);
    const before = rivals.findLast((other) => other.to <= candidate.from);
    const after = rivals.find((other) => other.from >= candidate.to);
    // Neighbours' ground ends half-way to them.
    const room = {
      from: Math.max(
        strip.from + candidate.from * strip.step - sought.ground,
        before === undefined ? -Infinity : strip.from + ((before.to + candidate.from) / 2) * strip.step,
      ),
      to: Math.min(
        strip.from + candidate.to * strip.step + sought.ground,
        after === undefined ? Infinity : strip.from + ((after.from + candidate.to) / 2) * strip.step,
      ),
    };
    const sighting = measureBand({ strip, relief, inverse }, candidate, {
      room,
      radius: blankRadius(axis, middle),
      busy: busyAround(score, candidate, strip.step),
      score: score[candidate.peak]!,
    });
    if (sighting === undefined) continue;
    const paper = paperColour(view, axis, (sighting.tipEdge + sighting.buttEdge) / 2) ?? usualPaper;
    sightings.push({ view: index, ...sighting, paper });
  }
  return { sightings, searched };
}
