import { type BlankAxis, blankRadius, crossSection, rollOf } from '../geometry/blank_axis.ts';
import { cameraCentre, project } from '../geometry/camera.ts';
import { ringRims } from '../geometry/ring.ts';
import type { Pixel, Vector3 } from '../geometry/vector.ts';
import type { Guide } from '../plan/plan.ts';
import { type RingCandidate, type RingKind, searchRings } from '../vision/ring_search.ts';
import type { View } from '../vision/strip.ts';
import { fitRing, quick, type RingFit } from './ring_fit.ts';
import { placeRing, ringPrior, type RingState, STATE_SIZE } from './ring_state.ts';

export interface PlannedGuide {
  id: string;
  /** mm from the tip */
  at: number;
  guide: Guide;
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
}

export interface FitRingsOptions {
  /** mm along the blank: where guides can stand; the grip and reel seat begin beyond. */
  from?: number;
  to?: number;
}

interface Judged {
  candidate: RingCandidate;
  guide: Guide;
  fit: RingFit;
  score: number;
  outside: number;
}

/** How many of the search's places get a quick fit, for each planned guide and at least. */
const TRIES_PER_GUIDE = 10;
const LEAST_TRIES = 60;
/** Evidence (log likelihood ratio) that makes a ring: odds of e^9 to one outweigh the several thousand places looked at. */
const ENOUGH = 7;
const ENOUGH_OUTSIDE = 1.8;

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
  const rings: FittedRing[] = [];
  for (const { guide, fit } of pickApart(judged)) {
    const best = fitRing(views, axis, guide, fit.state);
    if (best) rings.push(describe(views, axis, best));
  }
  return rings.sort((a, b) => a.along - b.along);
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
  const to = options.to ?? last + 0.6 * (end - last);
  const candidates = searchRings(
    views,
    axis,
    kinds.map((k) => k.kind),
  )
    .filter((c) => c.along > from && c.along < to)
    .slice(0, Math.max(LEAST_TRIES, TRIES_PER_GUIDE * guides.length));
  const judged: Judged[] = [];
  for (const candidate of candidates) {
    const { guide } = kinds[candidate.kind]!;
    const fit = fitRing(views, axis, guide, startState(axis, guide, candidate), quick);
    if (!fit) continue;
    const score = fit.support.reduce((sum, e) => sum + e.total, 0);
    const outside = fit.support.reduce((sum, e) => sum + e.outside, 0);
    judged.push({ candidate, guide, fit, score, outside });
  }
  return judged.sort((a, b) => b.score - a.score);
}

/** The kinds of ring to look for: one for all guides much alike. */
function kindsOf(guides: readonly PlannedGuide[]): { kind: RingKind; guide: Guide }[] {
  const kinds: { kind: RingKind; guide: Guide }[] = [];
  for (const { guide } of guides) {
    const { mean } = ringPrior(guide).shape;
    const kind: RingKind = {
      outer: mean[5]!,
      inner: mean[6]!,
      halfThickness: mean[7]!,
      rounding: mean[8]!,
      height: guide.height,
      lean: guide.lean,
    };
    const alike = kinds.some(
      (k) =>
        Math.abs(k.kind.outer - kind.outer) < 0.08 * kind.outer &&
        Math.abs(k.kind.height - kind.height) < 0.25 * kind.outer &&
        Math.abs(k.kind.lean - kind.lean) < 5,
    );
    if (!alike) kinds.push({ kind, guide });
  }
  return kinds;
}

function startState(axis: BlankAxis, guide: Guide, candidate: RingCandidate): RingState {
  const distance = blankRadius(axis, candidate.along) + guide.height;
  const roll = (candidate.roll * Math.PI) / 180;
  return [
    candidate.along,
    distance * Math.sin(roll),
    distance * Math.cos(roll),
    ...ringPrior(guide).shape.mean.slice(3),
  ];
}

/** Rings with enough evidence, none in the room that a better one's frame and foot take up. */
function pickApart(judged: readonly Judged[]): Judged[] {
  const picked: Judged[] = [];
  for (const j of judged) {
    if (j.score < ENOUGH || j.outside < ENOUGH_OUTSIDE) continue;
    const clear = picked.every(
      (p) => Math.abs(p.fit.state[0]! - j.fit.state[0]!) > 14 + p.fit.state[5]! + j.fit.state[5]!,
    );
    if (clear) picked.push(j);
  }
  return picked;
}

function describe(views: readonly View[], axis: BlankAxis, fit: RingFit): FittedRing {
  const { state } = fit;
  const { ring } = placeRing(axis, state);
  const section = crossSection(axis, state[0]!);
  const picked = [0, 1, 2, 5];
  const factor = [1, 1, 1, 2];
  const covariance = picked.flatMap((a, i) =>
    picked.map((b, j) => factor[i]! * factor[j]! * fit.covariance[a * STATE_SIZE + b]!),
  );
  return {
    along: state[0]!,
    centre: ring.centre,
    right: state[1]!,
    up: state[2]!,
    roll: rollOf(section, ring.centre),
    height: Math.hypot(state[1]!, state[2]!) - section.radius,
    lean: (state[3]! * 180) / Math.PI,
    ringOuter: 2 * ring.outer,
    ringInner: 2 * ring.inner,
    covariance,
    score: fit.support.reduce((sum, e) => sum + e.total, 0),
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
