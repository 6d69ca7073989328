import type { Estimate } from '../numerics/estimate.ts';
import { misreadSteps } from './misread.ts';

/** A planned place to look for; mm from the tip. */
export interface PlannedPlace {
  id: string;
  at: number;
  ring?: { ringOuter: number; height: number };
  /** false when no photo shows this stretch of the blank well enough to find anything there; default true */
  seen?: boolean;
}

export interface FoundPlace {
  along: Estimate;
  ringOuter?: Estimate;
  height?: Estimate;
  /** the planned place the builder pointed this out for by hand */
  forId?: string;
}

/** Indices into the given lists; every index stands exactly once on its side. */
export interface Matching {
  pairs: { planned: number; found: number }[];
  missing: number[];
  extra: number[];
  /** extras that stand within a few mm of a place that has its own mark or ring */
  doubled: { found: number; planned: number }[];
  /** the end from which the distances fit: the wrong end when every place fits its distance from the butt */
  countedFrom: 'tip' | 'butt';
}

/*
 * Costs are negative log-likelihoods up to a constant, chosen by what a builder would say; common practice, no source.
 * One item that moved costs less than one missing and one extra as long as it lies within reach, or sits where a
 * misread tape would have put it.
 */
const costOfMissing = 6;
const costOfUnseen = 0.5;
const costOfExtra = 5;
const costOfMoved = 3;
const costOfMisread = 7;
const costOfShift = 2.5;
const costOfGrowth = 4;
const costOfWrongEnd = 8;
/** how far from its place (mm) an item is still taken for that item, moved */
const reachOfMark = 22;
const reachOfRing = 30;
/** how exactly (mm, k = 1) a builder marks, and how exactly a misread mark sits on its wrong reading */
const markingSpread = 1;
const misreadSpread = 0.5;
/** another guide may sit at the place, so its size can speak against a pair but never forbid it */
const largestSizeCost = 4;
const ringOuterSpread = 0.5;
const heightSpread = 1.5;
const largestShift = 25;
const largestGrowth = 0.05;
const doubledWithin = 8;

/**
 * Gives each found mark or ring to at most one planned place, in order along the rod, by the cheapest alignment of the
 * two lists (dynamic programming after Needleman & Wunsch, J. Mol. Biol. 48 (1970) 443-453). The alignment is done
 * under several readings of the whole (as planned, all shifted by one amount, all grown in proportion, counted from the
 * wrong end) and the cheapest is kept, so that one large error common to all does not turn into a list of strays. The
 * order of the found list does not matter.
 *
 * @param blankLength mm, for distances counted from the wrong end
 */
export function matchPlaces(
  planned: readonly PlannedPlace[],
  found: readonly FoundPlace[],
  blankLength: number,
): Matching {
  const byHand = pairsByHand(planned, found);
  const takenPlanned = new Set(byHand.map((p) => p.planned));
  const takenFound = new Set(byHand.map((p) => p.found));
  const openPlanned = indices(planned).filter((i) => !takenPlanned.has(i));
  const openFound = indices(found)
    .filter((j) => !takenFound.has(j))
    .toSorted((a, b) => compareFound(found[a]!, found[b]!));

  let best: Alignment | undefined;
  let countedFrom: Matching['countedFrom'] = 'tip';
  // in order along the rod, for of readings that cost the same the first counts
  for (const reading of readings(planned, found.toSorted(compareFound), blankLength)) {
    const order = openPlanned.toSorted(
      (a, b) => reading.place(planned[a]!.at) - reading.place(planned[b]!.at) || a - b,
    );
    const alignment = align(
      order.map((i) => ({ ...planned[i]!, at: reading.place(planned[i]!.at) })),
      openFound.map((j) => found[j]!),
    );
    const cost = alignment.cost + reading.cost;
    if (best && cost >= best.cost - 1e-9) continue;
    best = { cost, pairs: alignment.pairs.map(([i, j]) => [order[i]!, openFound[j]!]) };
    countedFrom = reading.countedFrom;
  }

  const pairs = [...byHand, ...(best?.pairs ?? []).map(([i, j]) => ({ planned: i, found: j }))].toSorted(
    (a, b) => a.planned - b.planned,
  );
  const pairedPlanned = new Set(pairs.map((p) => p.planned));
  const pairedFound = new Set(pairs.map((p) => p.found));
  const extra = indices(found)
    .filter((j) => !pairedFound.has(j))
    .toSorted((a, b) => compareFound(found[a]!, found[b]!));
  return {
    pairs,
    missing: indices(planned).filter((i) => !pairedPlanned.has(i)),
    extra,
    doubled: doubles(planned, found, pairs, extra),
    countedFrom,
  };
}

interface Alignment {
  cost: number;
  pairs: [number, number][];
}

/** Both lists in order along the rod. */
function align(planned: readonly PlannedPlace[], found: readonly FoundPlace[]): Alignment {
  const columns = found.length + 1;
  const cost = new Float64Array((planned.length + 1) * columns);
  const step = new Uint8Array(cost.length);
  for (let i = 0; i <= planned.length; i++) {
    for (let j = 0; j <= found.length; j++) {
      if (i === 0 && j === 0) continue;
      const p = planned[i - 1];
      const f = found[j - 1];
      let lowest = Infinity;
      let taken = 0;
      const consider = (total: number, which: number) => {
        if (total >= lowest) return;
        lowest = total;
        taken = which;
      };
      if (p && f) consider(cost[(i - 1) * columns + j - 1]! + costOfPair(p, f), 1);
      if (p) consider(cost[(i - 1) * columns + j]! + (p.seen === false ? costOfUnseen : costOfMissing), 2);
      if (f) consider(cost[i * columns + j - 1]! + costOfExtra, 3);
      cost[i * columns + j] = lowest;
      step[i * columns + j] = taken;
    }
  }
  const pairs: [number, number][] = [];
  let i = planned.length;
  let j = found.length;
  while (i > 0 || j > 0) {
    const taken = step[i * columns + j];
    if (taken === 1) pairs.push([i - 1, j - 1]);
    if (taken !== 3) i--;
    if (taken !== 2) j--;
  }
  return { cost: cost[cost.length - 1]!, pairs: pairs.toReversed() };
}

function costOfPair(planned: PlannedPlace, found: FoundPlace): number {
  const distance = Math.abs(found.along.value - planned.at);
  const variance = found.along.u ** 2;
  const reach = planned.ring ? reachOfRing : reachOfMark;
  const given = costOfMissing + costOfExtra;
  let cost = Math.min(
    distance ** 2 / (2 * (markingSpread ** 2 + variance)),
    costOfMoved + (given - costOfMoved) * (distance / reach),
  );
  for (const step of misreadSteps)
    cost = Math.min(cost, costOfMisread + (distance - step.length) ** 2 / (2 * (misreadSpread ** 2 + variance)));
  return cost + costOfSize(planned, found);
}

function costOfSize(planned: PlannedPlace, found: FoundPlace): number {
  if (!planned.ring) return 0;
  let cost = 0;
  if (found.ringOuter)
    cost +=
      (found.ringOuter.value - planned.ring.ringOuter) ** 2 / (2 * (ringOuterSpread ** 2 + found.ringOuter.u ** 2));
  if (found.height)
    cost += (found.height.value - planned.ring.height) ** 2 / (2 * (heightSpread ** 2 + found.height.u ** 2));
  return Math.min(cost, largestSizeCost);
}

interface Reading {
  place: (at: number) => number;
  cost: number;
  countedFrom: Matching['countedFrom'];
}

function readings(planned: readonly PlannedPlace[], found: readonly FoundPlace[], blankLength: number): Reading[] {
  const fromButt = (at: number) => blankLength - at;
  const list: Reading[] = [
    { place: (at) => at, cost: 0, countedFrom: 'tip' },
    { place: fromButt, cost: costOfWrongEnd, countedFrom: 'butt' },
  ];
  for (const { at } of planned) {
    for (const { along } of found) {
      const shift = along.value - at;
      const shiftCost = costOfShift + (shift / largestShift) ** 2;
      if (Math.abs(shift) <= largestShift) list.push({ place: (x) => x + shift, cost: shiftCost, countedFrom: 'tip' });
      const growth = along.value / at;
      if (at > blankLength / 3 && Math.abs(growth - 1) <= largestGrowth)
        list.push({ place: (x) => growth * x, cost: costOfGrowth, countedFrom: 'tip' });
      const buttShift = along.value - fromButt(at);
      if (Math.abs(buttShift) <= largestShift)
        list.push({
          place: (x) => fromButt(x) + buttShift,
          cost: costOfWrongEnd + costOfShift,
          countedFrom: 'butt',
        });
    }
  }
  return list;
}

function pairsByHand(planned: readonly PlannedPlace[], found: readonly FoundPlace[]): Matching['pairs'] {
  return indices(planned).flatMap((i) => {
    const j = found.findIndex((f) => f.forId === planned[i]!.id);
    return j < 0 ? [] : [{ planned: i, found: j }];
  });
}

function doubles(
  planned: readonly PlannedPlace[],
  found: readonly FoundPlace[],
  pairs: Matching['pairs'],
  extra: readonly number[],
): Matching['doubled'] {
  return extra.flatMap((j) => {
    let nearest: { found: number; planned: number } | undefined;
    let least = doubledWithin;
    for (const pair of pairs) {
      const distance = Math.min(
        Math.abs(found[j]!.along.value - planned[pair.planned]!.at),
        Math.abs(found[j]!.along.value - found[pair.found]!.along.value),
      );
      if (distance > least) continue;
      least = distance;
      nearest = { found: j, planned: pair.planned };
    }
    return nearest ? [nearest] : [];
  });
}

const indices = (list: readonly unknown[]): number[] => list.map((_, index) => index);

const compareFound = (a: FoundPlace, b: FoundPlace): number =>
  a.along.value - b.along.value ||
  a.along.u - b.along.u ||
  (a.ringOuter?.value ?? 0) - (b.ringOuter?.value ?? 0) ||
  (a.height?.value ?? 0) - (b.height?.value ?? 0);
