import { type Camera, cameraCentre } from '../geometry/camera.ts';
import { addScaled, subtract } from '../geometry/vector.ts';
import { behindOnPaper, isOnPages, type Lane, lanePoint } from './lane.ts';
import type { AxisStation } from './outline.ts';
import type { SeenTip } from './tip.ts';
import { type TipPoint, tipPointAt } from './tip_profile.ts';
import { goesOnInLane, isCoveredBeyond } from './lane_bare.ts';
import type { LaneLook } from './lane_look.ts';
import type { PerPhoto, PhotoIndex } from '../photo/photo.ts';

/** When the finder's word for the tip's place is taken. */
const word = {
  /** this sure of it, 0 to 1 */
  score: 0.4,
  /**
   * this near to where the outlines have the blank begin, mm toward the butt and across; farther out toward the tip:
   * a pale blank may be told from its first tape on only; and farther still where it sees the rod go on to there
   */
  within: 25,
  beyond: 60,
  farthest: 250,
  across: 6,
  /**
   * and how well it places it: its map has cells of a millimetre, and shadows and lines move its peak in all photos
   * alike (standard deviation, mm; ten ends of drawn walks told by it alone lay 1.3 off, rms)
   */
  sigma: 1.3,
  /** on the whole it lies so far inside the end, mm */
  inside: 0.4,
  /**
   * an end told by an edge agrees with it within this, in its standard deviations: its peak lies up to a millimetre
   * beside the end
   */
  agrees: 0.73,
  /** the line of sight to an end over paper meets it so far inside the outer page, mm */
  insidePage: 2,
  /**
   * over the bench, or nearer to the page's own edge than this, mm, it takes that edge for the tip, or sees it so far
   * off (standard deviation, mm)
   */
  clearOfEdge: 8,
  overBench: 6,
} as const;

/**
 * The tip end as the finder sees it in one photo, near the end of the axis as it stands: coarse, where no edge can be
 * told. Undefined where it sees none there.
 */
function laneTip(
  look: LaneLook,
  photo: PhotoIndex,
  cameras: PerPhoto<Camera | undefined>,
  end: AxisStation,
): TipPoint | undefined {
  const camera = cameras[photo]!;
  const eye = cameraCentre(camera);
  const height = end.point[2];
  const places = (look.seen[photo]?.tips ?? [])
    .filter(({ score }) => score >= word.score)
    .map(({ t, v, score }) => {
      const onPaper = lanePoint(look.lane, t, v, 0);
      const point = addScaled(eye, subtract(onPaper, eye), (eye[2] - height) / eye[2]);
      const [x, y] = subtract(point, end.point);
      return {
        along: x * end.along[0] + y * end.along[1] - word.inside,
        across: -x * end.along[1] + y * end.along[0],
        score,
      };
    })
    .filter(({ along, across }) => along < word.within && along > -word.farthest && Math.abs(across) < word.across)
    .filter(({ along }) => along > -word.beyond || goesOnInLane(look, cameras, end, -along));
  const best = places.sort((a, b) => b.score - a.score)[0];
  return best && tipPointAt(camera, end, { offset: best.along, sigma: word.sigma });
}

/** The tip end as the finder sees it in each photo that shows it. */
export const laneTips = (look: LaneLook, cameras: PerPhoto<Camera | undefined>, end: AxisStation): SeenTip[] =>
  cameras.flatMap((camera, photo) => {
    const point = camera && laneTip(look, photo, cameras, end);
    return point ? [{ photo, point }] : [];
  });

/** The finder's word where no edge tells the end: doubted more where no paper, or a page's edge, lies behind it. */
export const tipsBySight = (
  seen: readonly SeenTip[],
  { lane }: LaneLook,
  cameras: PerPhoto<Camera | undefined>,
  end: AxisStation,
): SeenTip[] =>
  seen.map(({ photo, point }) => {
    const onPaper = isOverPaper(cameras[photo]!, lane, movedBy(end, point.offset), word.clearOfEdge);
    return { photo, point: onPaper ? point : { ...point, sigma: point.sigma * (word.overBench / word.sigma) } };
  });

/**
 * The ends told by edges that the finder bears out. A shadow's end beyond a light blank's and the grain of a bench have
 * edges too, so where the finder sees the end in some photo, edges count near where it does in their own; where it sees
 * it in none, they count where paper lies behind them and it sees neither the rod go on nor a hand or tool lie there.
 */
export function tipsBorneOut(
  edges: readonly SeenTip[],
  seen: readonly SeenTip[],
  look: LaneLook,
  cameras: PerPhoto<Camera | undefined>,
  end: AxisStation,
): SeenTip[] {
  if (seen.length === 0)
    return endsInLane(edges, look, cameras, end).filter(({ photo, point: { offset } }) =>
      isOverPaper(cameras[photo]!, look.lane, movedBy(end, offset), word.insidePage),
    );
  return edges.filter(({ photo, point }) =>
    seen.some(({ photo: own, point: told }) => own === photo && apart(point, told) < word.agrees * told.sigma),
  );
}

/**
 * The ends beyond which the finder sees neither the rod go on, be it only to another of them, nor a hand or tool lie in
 * the lanes.
 */
export const endsInLane = (
  ends: readonly SeenTip[],
  look: LaneLook,
  cameras: PerPhoto<Camera | undefined>,
  end: AxisStation,
): SeenTip[] =>
  ends.filter(({ point: { offset } }) => {
    const place = movedBy(end, offset);
    const goesOn = (far?: number) => goesOnInLane(look, cameras, place, far);
    const toOthers = ends.map(({ point }) => offset - point.offset).filter((far) => far > 0);
    return !goesOn() && !toOthers.some(goesOn) && !isCoveredBeyond(look, cameras, place);
  });

/** How far the finder's end lies from an edge's in a photo, pixels: it may take the shadow for the blank's own end. */
function apart({ pixel, shadow = 0 }: TipPoint, { pixel: told, normal }: TipPoint): number {
  const out = (told[0] - pixel[0]) * normal[0] + (told[1] - pixel[1]) * normal[1];
  return out < 0 ? -out : Math.max(out - shadow, 0);
}

/** An end so many mm farther along the axis. */
const movedBy = (end: AxisStation, along: number): AxisStation => ({
  ...end,
  point: addScaled(end.point, end.along, along),
});

function isOverPaper(camera: Camera, lane: Lane, { point }: AxisStation, inside: number): boolean {
  const { t } = behindOnPaper(lane, cameraCentre(camera), point);
  return isOnPages(lane, t, inside);
}
