import type { Photo } from '../photo/photo.ts';
import { withBlankShare } from '../vision/blank_share.ts';
import type { LaneSeen } from '../vision/finder/sighting.ts';
import type { Lane } from '../vision/lane.ts';
import { laneEdges } from '../vision/lane_edges.ts';
import { laneOf } from './mat_lane.ts';
import type { MatSolution } from './mat_summary.ts';

/** What the finder saw in each photo's lane, and the lane as it was looked at. */
export interface LaneLook {
  lane: Lane;
  /** by photo */
  seen: readonly (LaneSeen | undefined)[];
}

/** Each photo's edges across the lane, on the plane so high over the paper, and what the finder saw there if asked. */
export function edgesAcross(photos: readonly Photo[], mat: MatSolution, height: number, looked: LaneLook | undefined) {
  const lane = laneOf(mat);
  return photos.map((photo, i) => {
    const camera = mat.cameras[i];
    const own = camera && laneEdges(photo, camera, lane, height);
    const seen = looked?.seen[i];
    return own && seen ? withBlankShare(own, camera, lane, seen) : own;
  });
}
