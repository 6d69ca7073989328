import type { Thing } from './held_out.ts';

/** Less of a rim in view than this, and neither finding nor missing it counts. */
const leastVisible = 0.3;
/** A centre this near is the same thing: samples, or this share of its radius. */
const near = { samples: 6, radii: 0.5 };

/** A centre that the finder tells of. */
export interface Told {
  kind: Thing['kind'];
  column: number;
  row: number;
  radius: number;
  footToward: { tip: number; butt: number };
}

export interface KindScore {
  there: number;
  found: number;
  /** seen, but told to be of another kind */
  misnamed: number;
  false: number;
  /** errors of those found, samples; radius as the logarithm to base 2 of the ratio */
  place: number[];
  radius: number[];
  /** foot sides told right, of those known */
  feet: { right: number; known: number };
}

export const emptyScore = (): KindScore => ({
  there: 0,
  found: 0,
  misnamed: 0,
  false: 0,
  place: [],
  radius: [],
  feet: { right: 0, known: 0 },
});

/**
 * Counts the peaks (the surest first) of one picture against what is there; each thing takes the surest peak of its own
 * kind near it. A peak of another kind near a thing misnames it where its own kind was not told, and counts for nothing
 * where it was.
 */
export function scorePeaks(peaks: readonly Told[], things: readonly Thing[], into: Map<string, KindScore>): void {
  const free = new Set(peaks);
  for (const thing of things) {
    const score = into.get(thing.kind);
    if (!score) continue;
    const reach = reachOf(thing);
    const own = [...free].find((peak) => peak.kind === thing.kind && distance(peak, thing) < reach);
    if (own) free.delete(own);
    if (thing.visible < leastVisible) continue;
    score.there++;
    if (!own) {
      if ([...free].some((peak) => distance(peak, thing) < reach)) score.misnamed++;
      continue;
    }
    score.found++;
    score.place.push(distance(own, thing));
    score.radius.push(Math.abs(Math.log2(own.radius / thing.radius)));
    for (const side of ['tip', 'butt'] as const)
      if (thing.foot[side] >= 0) {
        score.feet.known++;
        if (own.footToward[side] > 0.5 === thing.foot[side] > 0.5) score.feet.right++;
      }
  }
  for (const peak of free) {
    const known = things.some((thing) => {
      const reach = thing.visible < leastVisible ? thing.radius : reachOf(thing);
      return distance(peak, thing) < reach;
    });
    if (!known) into.get(peak.kind)!.false++;
  }
}

const reachOf = (thing: Thing): number => Math.max(near.samples, near.radii * thing.radius);

const distance = (peak: Told, thing: Thing): number => Math.hypot(peak.column - thing.column, peak.row - thing.row);
