import { type Camera, cameraCentre, project } from '../geometry/camera.ts';
import { addScaled, subtract, type Vector3 } from '../geometry/vector.ts';
import { lanePoint } from './lane.ts';
import type { AxisStation } from './outline.ts';
import type { SeenTip, TipPoint } from './tip.ts';
import type { LaneLook } from './lane_look.ts';
import type { PerPhoto, PhotoIndex } from '../photo/photo.ts';

/** When the finder's word for the tip's place is taken. */
const word = {
  /** this sure of it, 0 to 1 */
  score: 0.4,
  /** this near to where the outlines have the blank begin, mm along and across */
  along: 16,
  across: 6,
  /**
   * and how well it places it: its map has cells of a millimetre, and shadows and lines move its peak in all photos
   * alike (standard deviation, mm)
   */
  sigma: 2,
} as const;

/**
 * The tip end as the finder sees it in one photo, near the end of the axis as it stands: coarse, where no edge can be
 * told. Undefined where it sees none there.
 */
function laneTip(look: LaneLook, photo: PhotoIndex, camera: Camera, end: AxisStation): TipPoint | undefined {
  const eye = cameraCentre(camera);
  const height = end.point[2];
  const places = (look.seen[photo]?.tips ?? [])
    .filter(({ score }) => score >= word.score)
    .map(({ t, v, score }) => {
      const onPaper = lanePoint(look.lane, t, v, 0);
      const point = addScaled(eye, subtract(onPaper, eye), (eye[2] - height) / eye[2]);
      const [x, y] = subtract(point, end.point);
      const along = x * end.along[0] + y * end.along[1];
      return { along, across: -x * end.along[1] + y * end.along[0], score };
    })
    .filter(({ along, across }) => Math.abs(along) < word.along && Math.abs(across) < word.across);
  const best = places.sort((a, b) => b.score - a.score)[0];
  return best && pointOn(camera, end, best.along);
}

/** The tip end as the finder sees it in each photo that shows it. */
export const laneTips = (look: LaneLook, cameras: PerPhoto<Camera | undefined>, end: AxisStation): SeenTip[] =>
  cameras.flatMap((camera, photo) => {
    const point = camera && laneTip(look, photo, camera, end);
    return point ? [{ photo, point }] : [];
  });

function pointOn(camera: Camera, end: AxisStation, along: number): TipPoint | undefined {
  const place: Vector3 = addScaled(end.point, end.along, along);
  const pixel = project(camera, place);
  const beyond = project(camera, addScaled(place, end.along, -1));
  if (!pixel || !beyond) return undefined;
  const perMm = Math.hypot(beyond[0] - pixel[0], beyond[1] - pixel[1]);
  return {
    pixel,
    normal: [(beyond[0] - pixel[0]) / perMm, (beyond[1] - pixel[1]) / perMm],
    offset: along,
    sigma: word.sigma * perMm,
  };
}
