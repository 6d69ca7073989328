import type { Blank } from '../plan/plan.ts';
import type { Crossing } from '../vision/blank_search.ts';
import { splitGripBare } from '../vision/grip_start.ts';
import { laneSpacing } from '../vision/lane_edges.ts';

/** Where a blank that the photos may show begins and ends in the lane, and how it lies across it, mm. */
export interface BlankStart {
  /** where it begins */
  tip: number;
  /** whether some photo shows paper beyond that: it is the tip then */
  tipSeen: boolean;
  /** where the grip begins, or else the last crossing */
  grip: number;
  /** place across the lane by the lane's coordinate */
  side: (t: number) => number;
}

const start = {
  /** crossings in a row, hardly a station left out, from which on it is the blank */
  row: 10,
  /** stations the row may miss: this many times its own length */
  rowLength: 1.35,
  /** paper beyond the end that a photo must show to tell it, mm */
  beyond: 12,
  /** ends that two photos show may lie this far apart, mm */
  sameEnd: 8,
  /** the grip or seat begins where nothing as wide as the blank shows for so many mm */
  gripLength: 40,
  /** looked at in stretches of so many mm, of which this share of the photos' stations must show the blank's width */
  bin: 16,
  gripSeen: 0.4,
  /** no grip begins before this share of the blank */
  gripShare: 0.3,
} as const;

/** The blank's diameter by the plan, mm, at a distance from its tip. */
export const plannedWidth = (blank: Blank, s: number): number =>
  blank.tipDiameter + (blank.buttDiameter - blank.tipDiameter) * Math.min(Math.max(s / blank.length, 0), 1);

/**
 * Where the chain of crossings begins, the tip toward the lane's low end; `shown` = the stretch of lane that each photo
 * shows. Undefined where there is no chain.
 */
export function tipEnd(
  crossings: readonly (readonly Crossing[])[],
  shown: readonly ({ from: number; to: number } | undefined)[],
): { t: number; seen: boolean } | undefined {
  const { row, sameEnd } = start;
  let first: { t: number; seen: boolean } | undefined;
  for (const [photo, sorted] of crossings.entries()) {
    const from = shown[photo]?.from ?? Number.POSITIVE_INFINITY;
    for (let i = 0; i + row < sorted.length; i++) {
      // Ten crossings with hardly a station left out among them: from here on it is the blank.
      if (sorted[i + row]!.t - sorted[i]!.t > row * laneSpacing * start.rowLength) continue;
      // A speck beyond the end stands alone.
      if (sorted[i + 1]!.t - sorted[i]!.t > 2 * laneSpacing) continue;
      const t = sorted[i]!.t;
      const seen = from < t - start.beyond;
      if (!first || t < first.t - sameEnd || (t < first.t + sameEnd && seen && !first.seen)) first = { t, seen };
      break;
    }
  }
  return first;
}

/**
 * Where crossings of the blank's width cease for good: the grip, the seat or the butt. What hides it on the way, a hand
 * or glare, is none of these: more of the blank shows beyond.
 */
export function gripFrom(
  crossings: readonly (readonly Crossing[])[],
  shown: readonly ({ from: number; to: number } | undefined)[],
  blank: Blank,
  tip: number,
): number {
  const { bin } = start;
  const count = Math.ceil(blank.length / bin);
  const seen = new Float64Array(count);
  for (const own of crossings)
    for (const { t } of own) {
      const i = Math.floor((t - tip) / bin);
      if (i >= 0 && i < count) seen[i]! += laneSpacing / bin;
    }
  const asWide = Array.from(seen, (share, i) => {
    const t = tip + (i + 0.5) * bin;
    const photos = shown.filter((own) => own && t > own.from && t < own.to).length;
    return photos > 0 && share >= start.gripSeen * photos;
  });
  let left = asWide.filter(Boolean).length;
  let last = tip;
  for (const [i, isAsWide] of asWide.entries()) {
    const t = tip + (i + 0.5) * bin;
    if (isAsWide) {
      last = t + bin / 2;
      left--;
    } else if (t - last > start.gripLength && t > tip + start.gripShare * blank.length && left * bin < splitGripBare)
      break;
  }
  return last;
}
