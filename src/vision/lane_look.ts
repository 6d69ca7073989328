import type { Camera } from '../geometry/camera.ts';
import type { HoldParts, PerPhoto, Photo } from '../photo/photo.ts';
import { withBlankShare } from './blank_share.ts';
import type { LaneSeen } from './finder/sighting.ts';
import { foldEdges } from './folded_stations.ts';
import type { Lane } from './lane.ts';
import { type LaneEdges, laneEdges } from './lane_edges.ts';

/** What the finder saw in each photo's lane, and the lane as it was looked at. */
export interface LaneLook {
  lane: Lane;
  seen: PerPhoto<LaneSeen | undefined>;
}

/**
 * Each photo's edges across the lane on the plane `height` mm over the paper, and what the finder saw there if asked;
 * undefined for a photo without a camera. `hold` keeps it all; memory when absent.
 */
export const edgesInLane = (
  photos: PerPhoto<Photo>,
  cameras: PerPhoto<Camera | undefined>,
  { lane, height, hold }: { lane: Lane; height: number; hold?: HoldParts | undefined },
  looked: LaneLook | undefined,
): (LaneEdges | undefined)[] =>
  photos.map((photo, i) => {
    const camera = cameras[i];
    const own = camera && laneEdges(photo, camera, lane, height);
    const seen = looked?.seen[i];
    return own && foldEdges(seen ? withBlankShare(own, camera, lane, seen) : own, hold);
  });
