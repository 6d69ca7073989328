import { planStart, ringOf } from '../../plan/plan.ts';
import type { Pixel } from '../../geometry/vector.ts';
import type { KeptCheck, PhotoEntry } from '../../store/build.ts';
import { axisStep, type PhotoEvidence } from '../../verdict/evidence.ts';
import type { ReportItem } from '../../verdict/report.ts';

/** A photo to point in: the size of its pixels where a check has read it, and where to look in it first. */
export interface HandPhotoChoice {
  entry: PhotoEntry;
  size?: { width: number; height: number };
  /** where the item should be, with the photo pixels round it that are worth seeing */
  start?: { place: Pixel; reach: number };
}

/** The shoot's photos, those that show the item's place best first. */
export function handPhotos(item: ReportItem, check: KeptCheck, entries: readonly PhotoEntry[]): HandPhotoChoice[] {
  const choices = entries.map((entry): HandPhotoChoice => {
    const evidence = check.evidence.photos.find(({ file }) => check.photoIds[file] === entry.id);
    if (!evidence) return { entry };
    const { width, height } = evidence;
    const start = startIn(evidence, item, check);
    return { entry, size: { width, height }, ...(start ? { start } : {}) };
  });
  return choices.toSorted((a, b) => farFromMiddle(a) - farFromMiddle(b));
}

/** Photos show best what stands in their middle; one that doesn't show the place comes last. */
function farFromMiddle({ size, start }: HandPhotoChoice): number {
  if (!size || !start) return Number.MAX_VALUE;
  return Math.hypot(start.place[0] - size.width / 2, start.place[1] - size.height / 2);
}

function startIn(
  evidence: PhotoEvidence,
  item: ReportItem,
  { plan, evidence: { rings } }: KeptCheck,
): HandPhotoChoice['start'] {
  const from = planStart(plan);
  const ring = ringOf(plan.positions.find(({ id }) => id === item.id)?.guide);
  const at = onAxis(evidence, (item.along?.value ?? item.planned) - from);
  if (!at) return undefined;
  const found = [...evidence.rings, ...(rings.length > 0 ? [] : evidence.marks)].find(({ id }) => id === item.id);
  const lines = found && ('rims' in found ? found.rims : found.edges).flat();
  if (lines && lines.length > 0) {
    const reach = ring ? Math.max(ring.ringOuter, 5) : 8;
    return { place: middleOf(lines), reach: reach * at.pixelsPerMm };
  }
  // what was not found may be anywhere near, and a ring stands off the blank, in a tilted photo by its whole height
  const reach = ring ? Math.max(1.5 * (ring.height + ring.ringOuter / 2), 25) : 25;
  return { place: at.place, reach: reach * at.pixelsPerMm };
}

/** Where the blank's axis is at an arc length, mm from its end on the mat. */
function onAxis({ axis, covers }: PhotoEvidence, along: number): { place: Pixel; pixelsPerMm: number } | undefined {
  if (!covers || axis.length < 2) return undefined;
  const first = Math.max(covers.from, 0);
  // points outside of the photo were left out, at which end is not kept
  const whole = axis.length === Math.floor((covers.to - first) / axisStep) + 1;
  const step = whole ? axisStep : (covers.to - first) / (axis.length - 1);
  const at = (along - first) / step;
  if (along < first || along > covers.to) return undefined;
  const i = Math.min(Math.floor(at), axis.length - 2);
  const [a, b] = [axis[i]!, axis[i + 1]!];
  return {
    place: [a[0] + (at - i) * (b[0] - a[0]), a[1] + (at - i) * (b[1] - a[1])],
    pixelsPerMm: Math.hypot(b[0] - a[0], b[1] - a[1]) / step,
  };
}

function middleOf(points: readonly Pixel[]): Pixel {
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => y);
  return [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
}
