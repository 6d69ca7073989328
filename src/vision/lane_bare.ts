import { axisPoint, type BlankAxis } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre } from '../geometry/camera.ts';
import type { PerPhoto } from '../photo/photo.ts';
import { type ClassName, classNames } from './finder/sighting.ts';
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
  const [dx, dy] = lane.direction;
  let [all, blank, told] = [0, 0, 0];
  for (const [photo, own] of seen.entries()) {
    const camera = cameras[photo];
    if (!own || !camera) continue;
    const eye = cameraCentre(camera);
    const { from, across, step, columns, rows, classes, certainty } = own.classes;
    for (let s = stretch.from; s <= stretch.to; s += word.step) {
      const place = axisPoint(axis, s);
      // The line of sight goes on to the paper, where the finder saw the lane.
      const onward = eye[2] / (eye[2] - place[2]);
      const x = eye[0] + (place[0] - eye[0]) * onward - lane.origin[0];
      const y = eye[1] + (place[1] - eye[1]) * onward - lane.origin[1];
      const column = Math.round((x * dx + y * dy - from) / step);
      const row = Math.round((y * dx - x * dy - across) / step);
      if (column < 0 || row < 0 || column >= columns || row >= rows) continue;
      const cell = row * columns + column;
      if (certainty[cell] === 0) continue;
      const name = classNames[classes[cell]!]!;
      all++;
      if (bare.has(name)) told++;
      if (name === 'blank') blank++;
    }
  }
  return all >= word.fewest && told >= word.share * all && blank >= word.blank * all;
}
