import { type BlankAxis, blankRadius, crossSection, rollOf } from '../geometry/blank_axis.ts';
import { cameraCentre, project } from '../geometry/camera.ts';
import { ringRims } from '../geometry/ring.ts';
import type { Pixel, Vector3 } from '../geometry/vector.ts';
import type { RingGuide } from '../plan/plan.ts';
import { type RingCandidate, type RingKind, searchRings } from '../vision/ring_search.ts';
import type { View } from '../vision/strip.ts';
import { honestCovariance } from './ring_doubt.ts';
import { fitRing, quick, type RingFit } from './ring_fit.ts';
import { placeRing, plannedRing, type RingState } from './ring_state.ts';

export interface PlannedGuide {
  id: string;
  /** mm from the tip */
  at: number;
  guide: RingGuide;
}

/** A guide ring found on the blank. */
export interface FittedRing {
  /** mm along the blank's axis from the tip: the foot of the ring's centre on the axis */
  along: number;
  /** the bore's centre, bench frame, mm */
  centre: Vector3;
  /** mm, the centre's place in the blank's cross-section */
  right: number;
  up: number;
  /** degrees about the axis, from the bench's up */
  roll: number;
  /** mm from the blank's surface to the centre */
  height: number;
  /** degrees */
  lean: number;
  /** mm, diameters of the visible rims */
  ringOuter: number;
  ringInner: number;
  /** mm^2: along, right, up, ringOuter; 4 x 4, row by row */
  covariance: number[];
  /** log likelihood ratio of a ring over chance edges */
  score: number;
  /** indices of the views used */
  photos: number[];
  edges: number;
  rims: { photoIndex: number; polylines: Pixel[][] }[];
  /** which way its one foot points, where the photos agree on it */
  footToward?: 'tip' | 'butt';
}

export interface FitRingsOptions {
  /** mm along the blank: where guides can stand; the grip and reel seat begin beyond. */
  from?: number;
  to?: number;
}

export interface Judged {
  guide: RingGuide;
  fit: RingFit;
  score: number;
  outside: number;
  /** stands where the plan has such a guide */
  planned: boolean;
  /** settles which of several readings of one spot is the better, never whether one is taken: all the evidence, and a little for standing where the plan has such a guide */
  rank: number;
}

/** How many of the search's places get a quick fit, for each kind: a few for each planned guide. */
const TRIES_PER_GUIDE = 3;
const LEAST_TRIES = 8;
/** At one place along the blank, this many rolls of one kind. */
const TRIES_PER_PLACE = 2;
/** Evidence (log likelihood ratio) that makes a ring, in all and from what stands out beside the blank. */
const ENOUGH = { anywhere: 6, wherePlanned: 1 };
/** A guide set with its foot on the mark, or on a mark misread by half an inch, still stands where one is to be expected: mm from its planned place. */
const EXPECTED_WITHIN = 16;
/** One photo has no second opinion. */
const ENOUGH_FROM_ONE = { anywhere: 7, wherePlanned: 4 };
const ENOUGH_OUTSIDE = 1;
/** A ring that nobody planned and that lies beside the blank (radians from upright) is more likely a gap between pages: it needs this much more. */
const LYING = Math.PI / 3;
const MORE_WHEN_LYING = 10;
/** A quick fit this far below may still pass after a thorough one. */
const WORTH_A_FIT = -9;
/** How many readings of one place get a thorough fit. */
const READINGS = 6;
/** A thorough fit that loses more evidence than this against the quick one has slipped. */
const SLIP = 3;
const BENCH_MARGIN = 2;
const NEAR_PLAN = 5;
const PLAN_BONUS = 6;
/** Legs, foot and tape reach this far from a ring along the blank, mm, besides the ring's own size. */
const FRAME_ROOM = 14;

/**
 * Finds every guide ring on the blank and fits it in space. The plan says which sizes to look for and what heights to expect, never where.
 */
export function fitRings(
  views: readonly View[],
  axis: BlankAxis,
  guides: readonly PlannedGuide[],
  options: FitRingsOptions = {},
): FittedRing[] {
  if (guides.length === 0 || views.length === 0) return [];
  const judged = judgeCandidates(views, axis, guides, options);
  return pickApart(views, axis, guides, judged)
    .map((j) => describe(views, axis, j))
    .sort((a, b) => a.along - b.along);
}

/** The candidates of the search with their quick fits, best first. */
export function judgeCandidates(
  views: readonly View[],
  axis: BlankAxis,
  guides: readonly PlannedGuide[],
  options: FitRingsOptions,
): Judged[] {
  const kinds = kindsOf(guides);
  const end = axis.from + axis.step * (axis.points.length - 1);
  const last = Math.max(...guides.map((g) => g.at));
  const from = options.from ?? axis.from + 5;
  const to = options.to ?? last + 0.4 * (end - last);
  const { candidates, refine } = searchRings(
    views,
    axis,
    kinds.map((k) => k.kind),
  );
  const possible = candidates.filter((c) => c.along > from && c.along < to);
  const tries = new Set(
    shortlist(
      possible,
      kinds.map((k) => k.kind),
      guides.length,
    ),
  );
  for (const { at, guide } of guides) {
    const index = kinds.findIndex((k) => alike(k.guide, guide));
    for (const candidate of nearPlan(possible, index, at)) tries.add(candidate);
  }
  const judged: Judged[] = [];
  for (const rough of tries) {
    const candidate = refine(rough);
    const { guide } = kinds[candidate.kind]!;
    const fit = fitRing(views, axis, plannedRing(guide), startState(axis, guide, candidate), quick);
    const verdict = fit && judge(axis, guides, guide, fit);
    if (verdict) judged.push(verdict);
  }
  return judged.sort((a, b) => b.rank - a.rank);
}

/** Weighs one fit; undefined where no ring can be: through the bench. */
function judge(axis: BlankAxis, guides: readonly PlannedGuide[], guide: RingGuide, fit: RingFit): Judged | undefined {
  const { ring } = placeRing(axis, fit.state);
  if (ring.centre[2] - ring.outer < -BENCH_MARGIN) return undefined;
  const roll = rollOf(crossSection(axis, fit.state[0]!), ring.centre);
  const evidence = fit.support.reduce((sum, e) => sum + e.total, 0);
  const outside = fit.support.reduce((sum, e) => sum + e.outside, 0);
  const full = fit.support.reduce((sum, e) => sum + e.full, 0);
  const strange = strangeness(axis, guide, fit.state, roll);
  const score = evidence - strange;
  const within = (reach: number) => guides.some((g) => alike(g.guide, guide) && Math.abs(g.at - fit.state[0]!) < reach);
  const rank = full - strange + (within(NEAR_PLAN) ? PLAN_BONUS : 0);
  return { guide, fit, score, outside, planned: within(EXPECTED_WITHIN), rank };
}

/** How far a fit's shape and place are from what the plan lets one expect, as a loss of log likelihood. */
function strangeness(axis: BlankAxis, guide: RingGuide, state: RingState, roll: number): number {
  const { shape, height } = plannedRing(guide);
  let sum = 0;
  for (const [i, sigma] of shape.sigma.entries()) {
    if (Number.isFinite(sigma)) sum += 0.5 * Math.min(9, ((state[i]! - shape.mean[i]!) / sigma) ** 2);
  }
  const stands = Math.hypot(state[1]!, state[2]!) - blankRadius(axis, state[0]!);
  sum += 0.5 * Math.min(9, ((stands - height.mean) / height.sigma) ** 2);
  // Guides are taped on along one line, on top; one that has turned right over is rare, not impossible.
  return sum + Math.log(1 + (roll / 15) ** 2);
}

const alike = (a: RingGuide, b: RingGuide) =>
  Math.abs(a.ringOuter - b.ringOuter) < 0.08 * a.ringOuter &&
  Math.abs(a.height - b.height) < 0.12 * a.ringOuter &&
  Math.abs(a.lean - b.lean) < 5;

/** The best places of each kind, not all crowded in one spot. */
function shortlist(candidates: readonly RingCandidate[], kinds: readonly RingKind[], planned: number): RingCandidate[] {
  const most = LEAST_TRIES + TRIES_PER_GUIDE * planned;
  const kept: RingCandidate[][] = kinds.map(() => []);
  for (const candidate of candidates) {
    const list = kept[candidate.kind]!;
    const room = kinds[candidate.kind]!.outer * 1.5;
    const neighbours = list.filter((c) => Math.abs(c.along - candidate.along) < room).length;
    if (list.length < most && neighbours < TRIES_PER_PLACE) list.push(candidate);
  }
  return kept.flat();
}

/** The search's best places of a guide's own kind near where the plan wants it: worth a look however they rank. */
function nearPlan(candidates: readonly RingCandidate[], kindIndex: number, at: number): RingCandidate[] {
  return candidates.filter((c) => c.kind === kindIndex && Math.abs(c.along - at) < NEAR_PLAN).slice(0, TRIES_PER_PLACE);
}

/** The kinds of ring to look for: one for all guides much alike. */
function kindsOf(guides: readonly PlannedGuide[]): { kind: RingKind; guide: RingGuide }[] {
  const kinds: { kind: RingKind; guide: RingGuide }[] = [];
  for (const { guide } of guides) {
    const { mean } = plannedRing(guide).shape;
    const kind: RingKind = {
      outer: mean[5]!,
      inner: mean[6]!,
      halfThickness: mean[7]!,
      rounding: mean[8]!,
      height: guide.height,
      lean: guide.lean,
    };
    if (kinds.some((k) => alike(k.guide, guide))) continue;
    kinds.push({ kind, guide });
  }
  return kinds;
}

function startState(axis: BlankAxis, guide: RingGuide, candidate: RingCandidate): RingState {
  const distance = blankRadius(axis, candidate.along) + guide.height;
  const roll = (candidate.roll * Math.PI) / 180;
  return [
    candidate.along,
    distance * Math.sin(roll),
    distance * Math.cos(roll),
    ...plannedRing(guide).shape.mean.slice(3),
  ];
}

/** Rings with enough evidence, none in the room that a better one's frame and foot take up. */
function pickApart(
  views: readonly View[],
  axis: BlankAxis,
  guides: readonly PlannedGuide[],
  judged: readonly Judged[],
): Judged[] {
  const fitted: Judged[] = [];
  const tried: Judged[] = [];
  for (const j of judged) {
    if (j.score < WORTH_A_FIT) continue;
    const rivals = tried.filter((t) => inEachOthersRoom(t.fit, j.fit));
    const same = rivals.some(
      (t) => t.guide === j.guide && Math.abs(t.fit.state[0]! - j.fit.state[0]!) < 0.3 * j.fit.state[5]!,
    );
    if (rivals.length >= READINGS || rivals.filter((t) => t.guide === j.guide).length >= 2 || same) continue;
    tried.push(j);
    const fit = fitRing(views, axis, plannedRing(j.guide), j.fit.state);
    const verdict = fit && judge(axis, guides, j.guide, fit);
    // Either fit may have slipped to a neighbouring edge: the one the photos support better counts.
    const better = verdict && verdict.rank >= j.rank - SLIP ? verdict : j;
    if (isRing(better)) fitted.push(better);
  }
  const picked: Judged[] = [];
  for (const j of fitted.sort((a, b) => b.rank - a.rank)) {
    if (picked.every((p) => !inEachOthersRoom(p.fit, j.fit))) picked.push(j);
  }
  return picked;
}

/** From one photo a band round the blank looks like a ring seen edge-on: then the part beside the blank must speak for it; more photos tell them apart by height. */
const isRing = ({ fit, score, outside, planned }: Judged) => {
  const alone = fit.views.length === 1;
  const enough = alone ? ENOUGH_FROM_ONE : ENOUGH;
  const lying = Math.abs(Math.atan2(fit.state[1]!, fit.state[2]!)) > LYING;
  return (
    score > (planned ? enough.wherePlanned : enough.anywhere + (lying ? MORE_WHEN_LYING : 0)) &&
    outside > (alone ? ENOUGH_OUTSIDE : -3 * fit.views.length)
  );
};

const inEachOthersRoom = (a: RingFit, b: RingFit) =>
  Math.abs(a.state[0]! - b.state[0]!) < FRAME_ROOM + a.state[5]! + b.state[5]!;

function describe(views: readonly View[], axis: BlankAxis, { fit, score }: Judged): FittedRing {
  const { state } = fit;
  const { ring } = placeRing(axis, state);
  const section = crossSection(axis, state[0]!);
  return {
    along: state[0]!,
    centre: ring.centre,
    right: state[1]!,
    up: state[2]!,
    roll: rollOf(section, ring.centre),
    height: Math.hypot(state[1]!, state[2]!) - section.radius,
    lean: (state[3]! * 180) / Math.PI,
    ringOuter: 2 * (ring.outer + VISIBLE_INSET),
    ringInner: 2 * ring.inner,
    covariance: honestCovariance(fit),
    score,
    photos: fit.views,
    edges: fit.edges,
    rims: fit.views.map((photoIndex) => {
      const { camera } = views[photoIndex]!;
      const polylines = ringRims(ring, cameraCentre(camera), 64).map((run) =>
        run.map((p) => project(camera, p.point)).filter((p) => p !== undefined),
      );
      return { photoIndex, polylines };
    }),
  };
}

/** The visible outline lies this far inside the true one, mm: the edge is rounded, white bleeds over it, and polished rims mirror the paper. */
const VISIBLE_INSET = 0.1;
