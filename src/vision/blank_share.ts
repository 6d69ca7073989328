import { type Camera, cameraCentre, project } from '../geometry/camera.ts';
import type { Pixel } from '../geometry/vector.ts';
import { laneHalfWidth } from '../mat/tile.ts';
import type { ClassName, LaneSeen } from './finder/sighting.ts';
import { type Lane, lanePoint } from './lane.ts';
import { laneClassBehind } from './lane_class.ts';
import type { BlankRun, BlankShare, LaneEdges, LaneStation } from './lane_edges.ts';

/** How the finder's word on what lies in the lane counts beside the edges'. */
const word = {
  /** mm between the places it is asked at; its cells are 1 mm wide */
  step: 1,
  /** share of the breadth between two edges, in the middle, that is asked: cells at the edges show both sides */
  middle: 0.6,
  /** a share from which on it is called the blank */
  blank: 0.7,
  /** from this share on edges keep all their worth: cells of a millimetre say which stretch it is, not where it ends */
  enough: 0.5,
  /** what edges keep of their worth where the finder sees a shadow between them */
  least: 0.1,
} as const;

/**
 * What speaks against a blank there; tape, wraps, frames and the like may lie on one. A thin tip may look like paper to
 * the finder, hardly like a shadow.
 */
const against: Partial<Record<ClassName, number>> = { shadow: 0, tag: 0, paper: 0.2 };

/** The walks across the lane with what the finder saw there; `seen` is of the same photo, `lane` the one walked. */
export function withBlankShare(edges: LaneEdges, camera: Camera, lane: Lane, seen: LaneSeen): LaneEdges {
  const eye = cameraCentre(camera);
  const shareAt = (t: number, v: number): { pixel: Pixel; share: number } | undefined => {
    const walked = lanePoint(lane, t, v, edges.height);
    const pixel = project(camera, walked);
    if (!pixel) return undefined;
    return { pixel, share: shareOf(laneClassBehind(seen, lane, eye, walked)) };
  };
  const stations = Array.from(edges.stations, (station): LaneStation => {
    const { middle, across } = station;
    const told: Told[] = [];
    for (let v = -laneHalfWidth; v <= laneHalfWidth; v += word.step) {
      const at = shareAt(station.t, v);
      if (!at) continue;
      const d = (at.pixel[0] - middle[0]) * across[0] + (at.pixel[1] - middle[1]) * across[1];
      told.push({ v, d, share: at.share });
    }
    return { ...station, blank: { ...everyPixel(told), runs: runsOf(told) } };
  });
  return { ...edges, stations };
}

function shareOf(name: ClassName | undefined): number {
  if (name === 'blank') return 1;
  return (name && against[name]) ?? 0.5;
}

/** A place on the walk: mm and pixels across, and how much the finder takes it for the blank. */
interface Told {
  v: number;
  d: number;
  share: number;
}

function runsOf(told: readonly Told[]): BlankRun[] {
  const runs: BlankRun[] = [];
  let from: number | undefined;
  for (const [i, { v, share }] of told.entries()) {
    if (share > word.blank) from ??= v;
    if (from === undefined || (share > word.blank && i + 1 < told.length)) continue;
    const to = share > word.blank ? v : v - word.step;
    runs.push({ middle: (from + to) / 2, breadth: to - from + word.step });
    from = undefined;
  }
  return runs;
}

function everyPixel(told: readonly Told[]): Pick<BlankShare, 'first' | 'share'> {
  const first = Math.ceil(told[0]?.d ?? 0);
  const share = new Float32Array(Math.max(Math.floor(told.at(-1)?.d ?? -1) - first + 1, 0));
  let next = 1;
  for (let i = 0; i < share.length; i++) {
    while (told[next]!.d < first + i) next++;
    const [a, b] = [told[next - 1]!, told[next]!];
    share[i] = a.share + ((first + i - a.d) / (b.d - a.d)) * (b.share - a.share);
  }
  return { first, share };
}

/**
 * What edges at `low` and `high` (pixels along the walk) are worth by what the finder saw between them, 0.1 to 1; 1
 * where it was not asked.
 */
export function worthBySight({ blank }: LaneStation, low: number, high: number): number {
  if (!blank) return 1;
  const margin = ((1 - word.middle) / 2) * (high - low);
  const from = Math.max(Math.round(low + margin) - blank.first, 0);
  const to = Math.min(Math.round(high - margin) - blank.first, blank.share.length - 1);
  if (to < from) return 1;
  let sum = 0;
  for (let i = from; i <= to; i++) sum += blank.share[i]!;
  return Math.min(Math.max(word.least, sum / (to - from + 1) / word.enough), 1);
}
