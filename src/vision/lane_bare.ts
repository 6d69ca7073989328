import { axisPoint, type BlankAxis } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre } from '../geometry/camera.ts';
import type { PerPhoto } from '../photo/photo.ts';
import type { ClassName } from './finder/sighting.ts';
import { laneClassBehind } from './lane_class.ts';
import type { LaneLook } from './lane_look.ts';

const word = {
  /** mm between the places along the axis that are asked */
  step: 2,
  /** this share of all that is seen there must be blank or what guides bring onto it, and this share blank itself */
  share: 0.8,
  blank: 0.2,
  /** cells that must be seen at least */
  fewest: 8,
} as const;

/** What the finder's cells show along the middle of a bare blank; the axis may lie a millimetre beside it. */
const bare: ReadonlySet<ClassName> = new Set([
  'blank',
  'shadow',
  'paper',
  'wax',
  'tape',
  'thread',
  'frame',
  'wire',
  'ring',
]);

/**
 * Whether the finder sees, in the lanes of all photos together, that a stretch of the axis (arc lengths, mm) is blank
 * with what guides bring onto it, and no grip or seat. False where it sees too little.
 */
export function isBareInLane(
  { lane, seen }: LaneLook,
  cameras: PerPhoto<Camera | undefined>,
  axis: BlankAxis,
  stretch: { from: number; to: number },
): boolean {
  let [all, blank, told] = [0, 0, 0];
  for (const [photo, own] of seen.entries()) {
    const camera = cameras[photo];
    if (!own || !camera) continue;
    const eye = cameraCentre(camera);
    for (let s = stretch.from; s <= stretch.to; s += word.step) {
      const name = laneClassBehind(own, lane, eye, axisPoint(axis, s));
      if (!name) continue;
      all++;
      if (bare.has(name)) told++;
      if (name === 'blank') blank++;
    }
  }
  return all >= word.fewest && told >= word.share * all && blank >= word.blank * all;
}
