import type { Estimate } from '../numerics/estimate.ts';
import type { Guide, RingGuide } from '../plan/plan.ts';

export interface GuideSizes {
  /** what was found there; a ring when absent */
  type?: 'ring' | 'snake';
  /** photos do not agree on the type, so nothing is said of the make */
  typeDoubted?: boolean;
  ringOuter?: Estimate;
  ringInner?: Estimate;
  height?: Estimate;
  /** of a snake guide, from foot end to foot end */
  length?: Estimate;
}

export interface GuideIdentity {
  verdict: 'as-planned' | 'different' | 'unsure';
  /** ids of the planned guides (equal ones together) whose sizes fit what was measured best, when any fits */
  fits: string[];
}

/**
 * What a guide's sizes as built differ from those in a plan, and what a rounded, mirroring rim adds when it is read in
 * a photo, mm (k = 1); common practice, no source.
 */
const ringSpread = 0.25;
const heightSpread = 0.4;
/**
 * Heights hang on the axis's own, which a shadow or a glossy limb may shift by more than any fit can see, all of a rod
 * alike: for calling a guide another they count no better than this, mm (k = 1).
 */
const heightSpreadToReject = 1.2;
const lengthSpread = 0.6;
/** Guides closer than this in every size, mm, are one guide to the eye and to the line. */
const sameRing = 0.6;
const sameHeight = 1;
const sameLength = 1.5;
/** A ring where a wire arch is planned, or the other way round. */
const otherType = 100;
/**
 * Squared distances in standard uncertainties: still fitting, surely not fitting, and how much worse another guide must
 * fit. Asking for a difference of d^2 keeps a wrong choice between two guides below the normal tail beyond d, however
 * far apart they are: 1.3 % for passing one as planned, 0.2 % for calling one different.
 */
const fitting = 9;
const notFitting = 20;
const worseToPass = 5;
const worseToReject = 9;

/**
 * Whether the guide at a place is the planned one, from the sizes measured there, held against that guide and every
 * other in the plan. "As planned" needs the planned sizes to fit and every visibly other guide to fit clearly worse;
 * "different" needs the planned sizes to be surely out, or another guide of the plan to fit clearly better.
 *
 * @param planned the planned guides by id; sizes in mm
 */
export function identifyGuide(
  id: string,
  planned: readonly { id: string; guide: Guide }[],
  measured: GuideSizes,
): GuideIdentity {
  const own = planned.find((p) => p.id === id)?.guide;
  if (!own || measured.typeDoubted) return { verdict: 'unsure', fits: [] };
  if (isOtherType(own, measured) && !planned.some((p) => !isOtherType(p.guide, measured)))
    return { verdict: 'different', fits: [] };
  if (!measured.ringOuter && !measured.ringInner && !measured.length) return { verdict: 'unsure', fits: [] };
  const distances = planned.map((p) => ({ ...p, distance: squaredDistance(p.guide, measured, heightSpread) }));
  const nearest = distances.reduce((a, b) => (b.distance < a.distance ? b : a));
  const fits =
    nearest.distance <= fitting ? distances.filter((p) => sameGuide(p.guide, nearest.guide)).map((p) => p.id) : [];
  const others = planned.flatMap(({ guide }) => (sameGuide(guide, own) ? [] : [guide]));
  // A snake guide's length is only guessed from its arch: it may bear the planned one out, but calls none another.
  const tells = own.type !== 'snake' || isOtherType(own, measured);
  const against = fitOf(own, others, measured, heightSpreadToReject);
  if (tells && (against.own > notFitting || (against.own > fitting / 2 && against.own - against.rival > worseToReject)))
    return { verdict: 'different', fits };
  const favour = fitOf(own, others, measured, heightSpread);
  if (favour.own <= fitting && favour.rival - favour.own > worseToPass && sizesTellApart(own, measured))
    return { verdict: 'as-planned', fits };
  return { verdict: 'unsure', fits };
}

/** Squared distances of what was measured from the planned guide and from the nearest of the others. */
const fitOf = (own: Guide, others: readonly Guide[], measured: GuideSizes, byHeight: number) => ({
  own: squaredDistance(own, measured, byHeight),
  rival: Math.min(Infinity, ...others.map((guide) => squaredDistance(guide, measured, byHeight))),
});

export function sameGuide(a: Guide, b: Guide): boolean {
  if (a.type === 'snake' || b.type === 'snake')
    return (
      a.type === 'snake' &&
      b.type === 'snake' &&
      Math.abs(a.length - b.length) < sameLength &&
      Math.abs(a.height - b.height) < sameHeight
    );
  return sameRingGuide(a, b);
}

const sameRingGuide = (a: RingGuide, b: RingGuide): boolean =>
  Math.abs(a.ringOuter - b.ringOuter) < sameRing &&
  Math.abs(a.ringInner - b.ringInner) < sameRing &&
  Math.abs(a.height - b.height) < sameHeight;

const isOtherType = (guide: Guide, measured: GuideSizes): boolean =>
  (guide.type ?? 'ring') !== (measured.type ?? 'ring');

/** A reading so loose that it would fit a ring a quarter larger or smaller proves nothing. */
function sizesTellApart(own: Guide, measured: GuideSizes): boolean {
  const tight = (estimate: Estimate | undefined, size: number) =>
    !!estimate && 2 * estimate.u < Math.max(0.75, size / 4);
  if (own.type === 'snake') return tight(measured.length, own.length);
  return tight(measured.ringOuter, own.ringOuter) || tight(measured.ringInner, own.ringInner);
}

function squaredDistance(guide: Guide, measured: GuideSizes, byHeight: number): number {
  const part = (estimate: Estimate | undefined, size: number, spread: number) =>
    estimate ? (estimate.value - size) ** 2 / (estimate.u ** 2 + spread ** 2) : 0;
  if (isOtherType(guide, measured)) return otherType;
  if (guide.type === 'snake')
    return part(measured.length, guide.length, lengthSpread) + part(measured.height, guide.height, byHeight);
  return (
    part(measured.ringOuter, guide.ringOuter, ringSpread) +
    part(measured.ringInner, guide.ringInner, ringSpread) +
    part(measured.height, guide.height, byHeight)
  );
}
