import { axisPoint, type BlankAxis } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre } from '../geometry/camera.ts';
import { addScaled, type Vector3 } from '../geometry/vector.ts';
import type { PerPhoto } from '../photo/photo.ts';
import type { Stretch } from '../plan/stretch.ts';
import type { ClassName } from './finder/sighting.ts';
import { behindOnPaper, isOnPages } from './lane.ts';
import { laneClassBehind } from './lane_class.ts';
import type { LaneLook } from './lane_look.ts';
import type { AxisStation } from './outline.ts';

type Cameras = PerPhoto<Camera | undefined>;

const word = {
  /** mm between the places along the axis that are asked */
  step: 2,
  /** this share of all that is seen there must be blank or what guides bring onto it, and this share blank itself */
  share: 0.8,
  blank: 0.2,
  /** this share of what is seen beyond an end is rod where the rod goes on: beyond a true one it is none */
  rod: 0.5,
  /** an end's own blur reaches so far beyond it, mm, and so far beyond it is looked at */
  beyondEnd: 4,
  looksBeyond: 40,
  /** a hand or a tool that hides an end begins before so many mm beyond what is taken for it */
  coveredBeyond: 24,
  /**
   * what covers the blank is something else in this share of what is seen, no grip in more than this, and so many mm of
   * bare blank follow it within so many mm
   */
  other: 0.5,
  grip: 0.1,
  follows: 60,
  followsWithin: 150,
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

/** What lies in the axis only where the rod does. */
const rod: ReadonlySet<ClassName> = new Set(['blank', 'thread', 'frame', 'wire', 'ring']);

/**
 * Whether the finder sees, in the lanes of all photos together, that a stretch of the axis (arc lengths, mm) is blank
 * with what guides bring onto it, and no grip or seat. False where it sees too little.
 */
export function isBareInLane(look: LaneLook, cameras: Cameras, axis: BlankAxis, stretch: Stretch): boolean {
  const seen = classesAlong(look, cameras, axis, stretch);
  const blank = seen.filter((name) => name === 'blank').length;
  return (
    seen.length >= word.fewest &&
    shareOf(seen, (name) => bare.has(name)) >= word.share &&
    blank >= word.blank * seen.length
  );
}

/**
 * Whether the finder sees something else over a stretch of the axis (arc lengths, mm), a hand or a tool, and bare blank
 * again beyond it. False where it sees too little.
 */
export function isCoveredInLane(look: LaneLook, cameras: Cameras, axis: BlankAxis, stretch: Stretch): boolean {
  const seen = classesAlong(look, cameras, axis, stretch);
  const isOther =
    seen.length >= word.fewest &&
    shareOf(seen, (name) => name === 'other') >= word.other &&
    shareOf(seen, (name) => name === 'grip') <= word.grip;
  const beyond = (d: number) => ({ from: stretch.to + d, to: stretch.to + d + word.follows });
  return isOther && steps(0, word.followsWithin, (d) => d).some((d) => isBareInLane(look, cameras, axis, beyond(d)));
}

/**
 * Whether the finder sees, in the lanes of all photos together, that the rod goes on in its line from an end toward the
 * tip, for `far` mm: the end is then none. False where it sees too little.
 */
export function goesOnInLane(
  look: LaneLook,
  cameras: Cameras,
  end: AxisStation,
  far: number = word.looksBeyond,
): boolean {
  const seen = classesAt(look, cameras, beyond(end, far));
  return seen.length >= word.fewest && shareOf(seen, (name) => rod.has(name)) >= word.rod;
}

/**
 * Whether the finder sees, in the lanes of all photos together, that something else lies in the blank's line right
 * beyond an end, a hand or a tool: the blank may go on under it. Where pages lie behind it the bench beyond them does
 * not count. False where it sees too little.
 */
export function isCoveredBeyond(look: LaneLook, cameras: Cameras, end: AxisStation): boolean {
  const places = beyond(end, word.coveredBeyond);
  const overPages = classesAt(look, cameras, places, (t) => isOnPages(look.lane, t));
  const seen = overPages.length >= word.fewest ? overPages : classesAt(look, cameras, places);
  return seen.length >= word.fewest && shareOf(seen, (name) => name === 'other') >= word.other;
}

const steps = <T>(from: number, to: number, at: (along: number) => T): T[] =>
  Array.from({ length: Math.max(0, Math.floor((to - from) / word.step) + 1) }, (_, i) => at(from + i * word.step));

/** Places beyond an end in its line, as far as an end's own blur does not reach, to so many mm off. */
const beyond = ({ point, along }: AxisStation, far: number): Vector3[] =>
  steps(word.beyondEnd, far, (d) => addScaled(point, along, -d));

const shareOf = (seen: readonly ClassName[], holds: (name: ClassName) => boolean): number =>
  seen.filter(holds).length / seen.length;

/** What the finder sees along a stretch of the axis (arc lengths, mm), in every photo that shows it. */
const classesAlong = (look: LaneLook, cameras: Cameras, axis: BlankAxis, { from, to }: Stretch): ClassName[] =>
  classesAt(
    look,
    cameras,
    steps(from, to, (s) => axisPoint(axis, s)),
  );

/**
 * What the finder sees at places (bench, mm), in every photo that shows them; of those alone that `counts`, given where
 * along the lane their line of sight meets the paper's plane.
 */
const classesAt = (
  { lane, seen }: LaneLook,
  cameras: Cameras,
  places: readonly Vector3[],
  counts?: (t: number) => boolean,
): ClassName[] =>
  seen.flatMap((own, photo) => {
    const camera = cameras[photo];
    if (!own || !camera) return [];
    const eye = cameraCentre(camera);
    const counted = counts ? places.filter((place) => counts(behindOnPaper(lane, eye, place).t)) : places;
    return counted.flatMap((place) => laneClassBehind(own, lane, eye, place) ?? []);
  });
