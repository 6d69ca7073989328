import { laneOf } from '../adjust/mat_lane.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { holdPart } from '../photo/crop.ts';
import { heldOf, type KeepHeld, type Photo, type PhotoIndex, type Rectangle } from '../photo/photo.ts';
import type { Rest } from '../plan/shoot.ts';
import { laneInView, rodInView } from './looked_at.ts';
import type { Rod } from './rod.ts';
import type { LoadPhoto, TaggedView } from './tagged_views.ts';

/** A blank lying flat stands no higher than this over the paper, mm. */
const lyingFlat = 15;

/**
 * The photos with all of the lane that each shows. Most hold it already, told from their squares before the cameras
 * stood; the others are decoded once more, one at a time.
 */
export function holdingLane(
  tagged: readonly TaggedView[],
  mat: MatSolution,
  rest: Rest,
  load: LoadPhoto,
  keep?: KeepHeld,
): Promise<TaggedView[]> {
  const lane = laneOf(mat);
  const height = rest.kind === 'blocks' ? rest.axisHeight : lyingFlat;
  return holding(tagged, { load, keep }, (photo, i) => {
    const camera = mat.cameras[i];
    return camera && laneInView(camera, lane, height, photo);
  });
}

/** The photos with the rod and all that stands on it, and the rod as these show it. */
export async function holdingRod<R extends Rod>(
  tagged: readonly TaggedView[],
  rod: R,
  load: LoadPhoto,
  keep?: KeepHeld,
): Promise<{ tagged: TaggedView[]; rod: R }> {
  const { mat, blank, views } = rod;
  const held = await holding(tagged, { load, keep }, (photo, i) => {
    const camera = mat.cameras[i];
    return camera && rodInView(camera, blank.axis, photo);
  });
  const list = views.list.map((view, v) => ({ ...view, photo: held[views.photo[v]!]!.photo }));
  return { tagged: held, rod: { ...rod, views: { ...views, list } } };
}

async function holding(
  tagged: readonly TaggedView[],
  { load, keep = (part) => part }: { load: LoadPhoto; keep: KeepHeld | undefined },
  wanted: (photo: Photo, i: PhotoIndex) => Rectangle | undefined,
): Promise<TaggedView[]> {
  const held: TaggedView[] = [];
  for (const [i, view] of tagged.entries()) {
    const part = wanted(view.photo, i);
    const now = heldOf(view.photo);
    const all = part && both(now, part);
    if (!all || isSame(all, now)) held.push(view);
    else held.push({ ...view, photo: keep(holdPart(await load(i), all)) });
  }
  return held;
}

const isSame = (a: Rectangle, b: Rectangle): boolean =>
  a.left === b.left && a.top === b.top && a.width === b.width && a.height === b.height;

/** The rectangle round two. */
function both(a: Rectangle, b: Rectangle): Rectangle {
  const left = Math.min(a.left, b.left);
  const top = Math.min(a.top, b.top);
  return {
    left,
    top,
    width: Math.max(a.left + a.width, b.left + b.width) - left,
    height: Math.max(a.top + a.height, b.top + b.height) - top,
  };
}
