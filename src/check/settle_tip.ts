import { type BlankEvidence, fitWithTip } from '../adjust/blank_adjustment.ts';
import { endOf } from '../adjust/blank_problem.ts';
import { bleedIn, type MatSolution } from '../adjust/mat_summary.ts';
import { addScaled } from '../geometry/vector.ts';
import { median } from '../numerics/robust.ts';
import type { PerPhoto, Photo, PhotoIndex } from '../photo/photo.ts';
import { InputError } from '../plan/input_error.ts';
import type { LaneLook } from '../vision/lane_look.ts';
import { endsInLane, laneTips, tipsBorneOut, tipsBySight } from '../vision/lane_tip.ts';
import type { AxisStation } from '../vision/outline.ts';
import type { TipPoint } from '../vision/tip_profile.ts';
import { findTip, findTips, type SeenTip, type TipSearch } from '../vision/tip.ts';

/** How far the first guess of the tip may be off, and how much paper beyond it is looked at, mm. */
export const tipReach = 16;

const settling = {
  /** how far beside the end that the finder sees edges are looked for, mm */
  nearSight: 3,
  /** an edge there is the end's where the two agree within so many standard deviations of both together */
  agrees: 2.5,
  /** blur and bleeding move an edge in all photos alike, standard deviation, mm */
  edgesAlike: 0.05,
  /** photos whose words lie apart by more than so many standard deviations and mm don't show the same end */
  contradicts: { sigmas: 4, mm: 0.3 },
} as const;

/** A station of the axis about which a photo is asked for the tip end. */
export interface AskedTip {
  photo: PhotoIndex;
  /** how far it lies from where the outlines have the end, mm along the axis */
  from: number;
  end: AxisStation;
}

/** Where the finder sees the tip end near these stations, in the photos that show it; mm from the outlines' end. */
export type LookAtTips = (asked: readonly AskedTip[]) => Promise<SeenTip[]>;

type Outlined = Omit<BlankEvidence, 'astray'>;
type Cameras = MatSolution['cameras'];

/** How each photo is searched for the tip's edge, so many mm to both sides. */
export const tipSearch = (mat: MatSolution, reach: number): PerPhoto<TipSearch> =>
  mat.cameras.map((_, i) => ({ reach, bleed: bleedIn(mat, i) }));

/**
 * The blank with its tip end: where the finder sees that from near by and the edges agree with it; else by the edges
 * that it bears out from afar, or by that word alone. A word from one distance alone counts only if the finder sees
 * neither the rod go on beyond nor something lie over it. Throws InputError where nothing tells the end.
 */
export async function settleTip(
  outlined: Outlined,
  photos: PerPhoto<Photo>,
  mat: MatSolution,
  look: LaneLook,
  lookAtTips: LookAtTips,
): Promise<BlankEvidence> {
  const { cameras } = mat;
  const end = endOf(outlined.problem);
  const fromAfar = laneTips(look, cameras, end);
  const near = await lookAtTips(askedTips(end, cameras, fromAfar));
  const seen = agreeing(fromAfar.length > 0 ? near : endsInLane(near, look, cameras, end), fromAfar);
  if (seen.length === 0) return tipFromAfar(outlined, photos, mat, look, endsInLane(fromAfar, look, cameras, end));
  const there = withTips(outlined, cameras, seen);
  const edges = findTips(photos, cameras, endOf(there.problem), tipSearch(mat, settling.nearSight)).flatMap((edge) => {
    const own = seen.find(({ photo }) => photo === edge.photo);
    return own ? edgeOf(own, edge) : [];
  });
  return { ...withTips(there, cameras, [...seen, ...edges]), astray: 0 };
}

/** Every photo is asked where it sees the end from afar, one that does not where the others see it on the whole. */
function askedTips(end: AxisStation, cameras: Cameras, fromAfar: readonly SeenTip[]): AskedTip[] {
  const others = fromAfar.length > 0 ? median(fromAfar.map(({ point }) => point.offset)) : 0;
  return cameras.flatMap((camera, photo) => {
    const from = fromAfar.find((tip) => tip.photo === photo)?.point.offset ?? others;
    return camera ? [{ photo, from, end: { ...end, point: addScaled(end.point, end.along, from) } }] : [];
  });
}

/**
 * The words that do not contradict the best of them: of a photo where the finder sees the end from afar as well, and
 * the surest.
 */
function agreeing(seen: readonly SeenTip[], fromAfar: readonly SeenTip[]): SeenTip[] {
  const isSeenTwice = ({ photo }: SeenTip) => fromAfar.some((tip) => tip.photo === photo);
  const [best] = seen.toSorted(
    (a, b) => Number(isSeenTwice(b)) - Number(isSeenTwice(a)) || sigmaOf(a.point) - sigmaOf(b.point),
  );
  if (!best) return [];
  const { sigmas, mm } = settling.contradicts;
  return seen.filter(
    ({ point }) =>
      Math.abs(point.offset - best.point.offset) <=
      Math.max(mm, sigmas * Math.hypot(sigmaOf(point), sigmaOf(best.point))),
  );
}

/** An edge, a little doubted, where it agrees with the one place that the finder sees in its photo; none else. */
function edgeOf({ point: seen }: SeenTip, { photo, point }: SeenTip): SeenTip[] {
  if (settling.agrees * sigmaOf(seen) > settling.nearSight) return [];
  const sigma = Math.hypot(point.sigma, settling.edgesAlike * point.perMm);
  const apart = (point.pixel[0] - seen.pixel[0]) * seen.normal[0] + (point.pixel[1] - seen.pixel[1]) * seen.normal[1];
  return Math.abs(apart) < settling.agrees * Math.hypot(sigma, seen.sigma)
    ? [{ photo, point: { ...point, sigma } }]
    : [];
}

const sigmaOf = ({ sigma, perMm }: TipPoint): number => sigma / perMm;

const withTips = (outlined: Outlined, cameras: Cameras, tips: readonly SeenTip[]): Outlined => {
  const seen = { points: outlined.points, tips: [...tips] };
  return { ...seen, problem: fitWithTip(outlined.problem, cameras, seen) };
};

/**
 * The tip end by the edges that the finder bears out from afar, looked for once more beside where it sees the end if
 * they stand elsewhere; by its own word where no edge tells. Throws InputError where nothing does.
 */
function tipFromAfar(
  outlined: Outlined,
  photos: PerPhoto<Photo>,
  mat: MatSolution,
  look: LaneLook,
  fromAfar: readonly SeenTip[],
): BlankEvidence {
  const { cameras } = mat;
  const { problem } = outlined;
  const told = (from: Outlined, reach: number, tips: readonly SeenTip[]): BlankEvidence => {
    const fitted = tips.length === from.tips.length ? from : withTips(from, cameras, tips);
    return { ...fitted, astray: tipAstray(photos, cameras, tipSearch(mat, reach), fitted) };
  };
  const borneOut = tipsBorneOut(outlined.tips, fromAfar, look, cameras, endOf(problem));
  if (borneOut.length > 0) return told(outlined, tipReach, borneOut);
  if (fromAfar.length === 0)
    throw new InputError(
      'The tip end of the blank could not be made out against the paper: take one more photo straight over the tip, with white paper beyond it.',
    );
  const there = withTips(outlined, cameras, tipsBySight(fromAfar, look, cameras, endOf(problem)));
  const edges = findTips(photos, cameras, endOf(there.problem), tipSearch(mat, settling.nearSight));
  const again = tipsBorneOut(edges, fromAfar, look, cameras, endOf(there.problem));
  return again.length > 0 ? told({ ...there, tips: [] }, settling.nearSight, again) : { ...there, astray: 0 };
}

/**
 * How far the end lies from where it was found, at most, mm. Looked for again from there it must be there: a line or
 * speck beside it can make two of it.
 */
function tipAstray(
  photos: PerPhoto<Photo>,
  cameras: Cameras,
  search: PerPhoto<TipSearch>,
  { problem, tips }: Outlined,
): number {
  const end = endOf(problem);
  const offsets = tips.map(({ photo }) => findTip(photos[photo]!, cameras[photo]!, end, search[photo]!)?.offset ?? 1);
  return Math.max(0, ...offsets.map(Math.abs));
}
