import type { Pixel } from '../geometry/vector.ts';
import type { KeptCheck, PhotoEntry } from '../store/build.ts';
import type { PhotoEvidence } from '../verdict/evidence.ts';
import type { ReportItem } from '../verdict/report.ts';

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
  const from = plan.section?.startsAt ?? 0;
  const guide = plan.positions.find(({ id }) => id === item.id)?.guide;
  const at = onAxis(evidence, (item.along?.value ?? item.planned) - from);
  if (!at) return undefined;
  const found = [...evidence.rings, ...(rings.length > 0 ? [] : evidence.marks)].find(({ id }) => id === item.id);
  const lines = found && ('rims' in found ? found.rims : found.edges).flat();
  if (lines && lines.length > 0) {
    const reach = guide ? Math.max(guide.ringOuter, 5) : 8;
    return { place: middleOf(lines), reach: reach * at.pixelsPerMm };
  }
  // a ring stands off the blank: in a tilted photo by its whole height
  const reach = guide ? Math.max(1.2 * (guide.height + guide.ringOuter / 2), 14) : 14;
  return { place: at.place, reach: reach * at.pixelsPerMm };
}

/** Where the blank's axis is at an arc length (mm from its end on the mat); its line holds a point every few mm. */
function onAxis({ axis, covers }: PhotoEvidence, along: number): { place: Pixel; pixelsPerMm: number } | undefined {
  if (!covers || axis.length < 2) return undefined;
  const first = Math.max(covers.from, 0);
  const share = (along - first) / (covers.to - first);
  if (share < 0 || share > 1) return undefined;
  const i = Math.min(Math.floor(share * (axis.length - 1)), axis.length - 2);
  const t = share * (axis.length - 1) - i;
  const [a, b] = [axis[i]!, axis[i + 1]!];
  const step = (covers.to - first) / (axis.length - 1);
  return {
    place: [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])],
    pixelsPerMm: Math.hypot(b[0] - a[0], b[1] - a[1]) / step,
  };
}

function middleOf(points: readonly Pixel[]): Pixel {
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => y);
  return [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
}
