import { besideAxis, type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { project } from '../geometry/camera.ts';
import type { Vector3 } from '../geometry/vector.ts';
import { border, isInPhoto } from '../geometry/in_photo.ts';
import { type ClassGrid, type ClassName, classNames, type StripSeen } from '../vision/finder/sighting.ts';
import { stripPlace } from '../vision/finder/strip_place.ts';
import type { View, PerView } from '../vision/strip.ts';
import type { RingCandidate } from './ring_candidate.ts';

/** How photos that show a ring's place without a sighting of it count. */
export const presence = {
  /** log odds that a photo takes off which shows the place well, and paper, blank or tape where the ring must be */
  contradiction: 1.6,
  /**
   * a photo that shows a thing of another kind there, or nothing surely, takes off this much: the ring may be hidden
   */
  hidden: 0.3,
  /** a ring needs this many pixels across for its absence to say something */
  leastPixels: 16,
  /** the whole ring lies this far inside the photo's frame, pixels */
  margin: 20,
  /** cells are judged from this certainty on, 0 to 1; this many of a ring's or its frame's own leave the matter open */
  certain: 0.5,
  ownCells: 2,
  /** share of the cells at the ring's place that must show what lies behind it */
  behind: 0.8,
} as const;

const ownClasses: readonly ClassName[] = ['ring', 'frame', 'tube', 'wire'];
const behindClasses: readonly ClassName[] = ['paper', 'blank', 'shadow', 'line', 'tape', 'thread', 'wax', 'tag'];

/**
 * Log odds that a ring stands where sightings met: what the sightings say, less what every photo says that shows the
 * place and has no sighting there. Above 0 more speaks for a ring than against it.
 */
export function presenceOf(
  views: PerView<View>,
  axis: BlankAxis,
  seen: readonly StripSeen[],
  candidate: RingCandidate,
): number {
  const { along, right, up } = candidate;
  const centre = besideAxis(crossSection(axis, along), right, up);
  const against = seen
    .filter(({ view }) => !candidate.sightings.some((s) => s.view === view))
    .map((strip) => speaksAgainst(views[strip.view]!, axis, strip, centre, candidate));
  return candidate.weight - against.reduce((sum, value) => sum + value, 0);
}

/** What one photo without a sighting takes off: nothing where it does not show the place. */
function speaksAgainst(
  { photo, camera }: View,
  axis: BlankAxis,
  { covers, pixelsPerMm, classes }: StripSeen,
  centre: Vector3,
  { along, outer }: RingCandidate,
): number {
  const pixel = project(camera, centre);
  const place = stripPlace(camera, axis, centre, along);
  if (!pixel || !place || place.along < covers.from || place.along > covers.to) return 0;
  const reach = outer * pixelsPerMm + presence.margin;
  if (!isInPhoto(photo, pixel, border(reach)) || 2 * outer * pixelsPerMm < presence.leastPixels) return 0;
  const counts = countCells(classes, place, outer);
  if (counts.own >= presence.ownCells) return 0;
  return counts.behind >= presence.behind * counts.all ? presence.contradiction : presence.hidden;
}

/**
 * Cells within a ring's radius of a place on the strip: all, those of rings and frames, those of what lies behind a
 * ring.
 */
function countCells(
  { from, across: first, step, rows, columns, classes, certainty }: ClassGrid,
  { along, across }: { along: number; across: number },
  radius: number,
): { all: number; own: number; behind: number } {
  const counts = { all: 0, own: 0, behind: 0 };
  const reach = Math.max(1, Math.round(radius / step));
  const column = Math.round((along - from) / step);
  const row = Math.round((across - first) / step);
  for (let r = Math.max(row - reach, 0); r <= Math.min(row + reach, rows - 1); r++) {
    for (let c = Math.max(column - reach, 0); c <= Math.min(column + reach, columns - 1); c++) {
      const i = r * columns + c;
      counts.all++;
      if (certainty[i]! < 255 * presence.certain) continue;
      const name = classNames[classes[i]!]!;
      if (ownClasses.includes(name)) counts.own++;
      if (behindClasses.includes(name)) counts.behind++;
    }
  }
  return counts;
}
