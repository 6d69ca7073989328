import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import { type FittedMark, markOutline } from '../adjust/mark_fit.ts';
import type { FittedRing } from '../adjust/fitted_ring.ts';
import { crossSection } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre, project } from '../geometry/camera.ts';
import { addScaled, type Pixel, type Vector3 } from '../geometry/vector.ts';
import { cropPhoto, insidePhoto } from '../photo/crop.ts';
import { guidesAreOn } from '../plan/shoot.ts';
import type { CloseUp } from '../verdict/evidence.ts';
import type { Report, ReportItem } from '../verdict/report.ts';
import { facingRoll, type ViewIndex } from '../vision/strip.ts';
import { isInFrame } from './coverage.ts';
import type { PlacedViews } from './tagged_views.ts';

/**
 * What is drawn of a guide that was found: see `FittedRing`; a snake guide's `ringOuter` is its height, its rims the
 * arch.
 */
export type DrawnGuide = Pick<
  FittedRing,
  'along' | 'centre' | 'right' | 'up' | 'roll' | 'ringOuter' | 'views' | 'rims'
>;

/** What close-ups are cut from. */
export interface CloseUpSource {
  report: Report;
  blank: BlankSolution;
  views: PlacedViews;
  /** added to an arc length to count as the plan does, mm */
  start: number;
  rings: readonly DrawnGuide[];
  marks: readonly FittedMark[];
}

/** Close-ups kept for one item: the photos that show it largest. */
const closeUpsPerItem = 4;
/** About so many pixels wide and high: more is no use on a phone, and a report of many guides grows with them. */
const closeUpSide = 480;
/** Half the side of a close-up, mm on the rod. */
const closeUpReach = 16;
/** Half the stretch of blank drawn round where a mark or guide was looked for, mm. */
const soughtReach = 8;

/**
 * One thing to be cut out of the photos: where it is (bench frame), how far round it, and what is drawn over it in each
 * view.
 */
interface Subject {
  id: string;
  along: number;
  point: Vector3;
  reach: number;
  /** views to choose from */
  views: readonly ViewIndex[];
  lines: (view: ViewIndex) => Pixel[][];
  sought?: true;
}

/**
 * Close-ups of every ring or mark found, and of every planned place at which none was, from the photos that show it
 * largest.
 */
export function drawCloseUps(source: CloseUpSource, name: (along: number) => string): CloseUp[] {
  const { rings, marks, report, blank, views } = source;
  const subjects: Subject[] = rings.map((ring) => ({
    id: name(ring.along),
    along: ring.along,
    point: ring.centre,
    reach: Math.max(closeUpReach, ring.ringOuter),
    views: ring.views,
    lines: (view) => ring.rims.find((r) => r.view === view)?.polylines ?? [],
  }));
  if (!guidesAreOn(report.stage))
    subjects.push(
      ...marks.map((mark) => ({
        id: name(mark.along.value),
        along: mark.along.value,
        point: crossSection(blank.axis, mark.along.value).point,
        reach: closeUpReach,
        views: mark.views,
        lines: (view: ViewIndex) => markEdges(views.list[view]!.camera, blank, mark),
      })),
    );
  subjects.push(...report.items.filter((item) => !item.found).map((item) => lostSubject(source, item)));
  return subjects.flatMap((subject) => cutOut(source, subject));
}

/** Where a mark or guide was looked for: the blank's stretch, drawn by its outlines, in every photo that shows it. */
function lostSubject({ start, blank, views }: CloseUpSource, item: ReportItem): Subject {
  const along = item.planned - start;
  const shows = (view: ViewIndex) => {
    const { photo, camera } = views.list[view]!;
    return isInFrame(photo, camera, blank, along);
  };
  const lines = (view: ViewIndex) => {
    const { camera } = views.list[view]!;
    const outline = (side: number): Pixel[] =>
      [-soughtReach, soughtReach].flatMap((step) => {
        const section = crossSection(blank.axis, along + step);
        const pixel = project(camera, addScaled(section.point, section.right, side * (section.radius + 1)));
        return pixel ? [pixel] : [];
      });
    const [left, right] = [outline(-1), outline(1)];
    return [[...left, ...right.toReversed(), ...left.slice(0, 1)]];
  };
  const bare = new Set(item.bareIn ?? []);
  const shown = views.list.map((_, view) => view).filter(shows);
  const clear = shown.filter((view) => bare.has(views.list[view]!.photo.file));
  const { point } = crossSection(blank.axis, along);
  const from = clear.length > 0 ? clear : shown;
  return { id: item.id, along, point, reach: closeUpReach, views: from, lines, sought: true };
}

function cutOut({ blank, views }: CloseUpSource, subject: Subject): CloseUp[] {
  const { id, along, point, reach, sought } = subject;
  const scaleIn = (view: ViewIndex) => pixelsPerMm(views.list[view]!.camera, blank, along);
  return [...subject.views]
    .sort((a, b) => scaleIn(b) - scaleIn(a))
    .slice(0, closeUpsPerItem)
    .flatMap((view): CloseUp[] => {
      const { photo, camera } = views.list[view]!;
      const at = project(camera, point);
      if (!at) return [];
      const half = reach * scaleIn(view);
      const square = { left: at[0] - half, top: at[1] - half, width: 2 * half, height: 2 * half };
      const rectangle = insidePhoto(photo, square);
      const stride = Math.max(1, Math.round((2 * half) / closeUpSide));
      const rims = subject
        .lines(view)
        .map((line) => line.map(([x, y]): Pixel => [(x - rectangle.left) / stride, (y - rectangle.top) / stride]));
      const picture = cropPhoto(photo, rectangle, stride);
      return [{ id, file: photo.file, picture, rims, ...(sought && { sought }) }];
    });
}

function pixelsPerMm(camera: Camera, blank: BlankSolution, along: number): number {
  const section = crossSection(blank.axis, along);
  const a = project(camera, section.point);
  const b = project(camera, addScaled(section.point, section.along, 1));
  return a && b ? Math.hypot(b[0] - a[0], b[1] - a[1]) : 0;
}

/** A mark's edges in one photo, pixels. */
export function markEdges(camera: Camera, blank: BlankSolution, mark: FittedMark): Pixel[][] {
  const section = crossSection(blank.axis, mark.along.value);
  return markOutline(camera, blank.axis, mark, facingRoll(section, cameraCentre(camera)));
}
