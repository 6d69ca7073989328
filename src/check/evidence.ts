import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import type { FittedRing } from '../adjust/fit_rings.ts';
import { type FittedMark, markOutline } from '../adjust/mark_fit.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { type HandSet, isReplaced } from './hand_places.ts';
import type { PlacedViews, TaggedView } from './tagged_views.ts';
import { blankRadius, crossSection } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre, project } from '../geometry/camera.ts';
import { addScaled, type Pixel } from '../geometry/vector.ts';
import { cropPhoto, insidePhoto } from '../photo/crop.ts';
import type { Plan } from '../plan/plan.ts';
import { axisStep, type CloseUp, type Evidence, type PhotoEvidence } from '../verdict/evidence.ts';
import type { Report } from '../verdict/report.ts';
import { outlineDirection } from '../vision/outline.ts';
import { drawRibbon } from '../vision/ribbon.ts';
import { facingRoll } from '../vision/strip.ts';

export interface Checked {
  plan: Plan;
  report: Report;
  tagged: readonly TaggedView[];
  mat: MatSolution;
  blank: BlankSolution;
  views: PlacedViews;
  rings: readonly FittedRing[];
  marks: readonly FittedMark[];
  byHand: readonly HandSet[];
}

/** Close-ups kept for one item: the photos that show it largest. */
const closeUpsPerItem = 4;
/** Half the side of a close-up, mm on the rod. */
const closeUpReach = 16;

/** The pictures of a check: overlays, the straightened blank, close-ups and the rings' places about the axis. */
export function drawEvidence(all: Checked): Evidence {
  const { plan, blank, views, report, byHand } = all;
  const rings = all.rings.filter((ring) => report.stage === 'marks' || !isReplaced(ring.along, byHand));
  const marks = all.marks.filter((mark) => report.stage === 'rings' || !isReplaced(mark.along.value, byHand));
  const checked = { ...all, rings, marks };
  const start = plan.section?.startsAt ?? 0;
  const name = namesOf(report, start);
  const items = [...rings.map((r) => r.along), ...marks.map((m) => m.along.value)];
  return {
    photos: checked.tagged.map((view, i) => overlay(checked, view, i, name)),
    ribbon: drawRibbon(views.list, blank.axis, { range: { from: -12, to: plan.blank.length }, items }),
    closeUps: closeUps(checked, name),
    rings: [
      ...rings.map((ring) => ({
        id: name(ring.along),
        along: ring.along + start,
        right: ring.right,
        up: ring.up,
        ringOuter: ring.ringOuter,
        blankRadius: blankRadius(blank.axis, ring.along),
        roll: ring.roll,
      })),
      ...byHand.flatMap(({ id, ring }) => (ring ? [handEvidence(id, ring, blank, start)] : [])),
    ],
  };
}

function handEvidence(id: string, ring: NonNullable<HandSet['ring']>, blank: BlankSolution, start: number) {
  const [along, right, up] = [ring.along.value, ring.right.value, ring.up.value];
  return {
    id,
    along: along + start,
    right,
    up,
    ringOuter: ring.ringOuter,
    blankRadius: blankRadius(blank.axis, along),
    roll: (Math.atan2(right, up) * 180) / Math.PI,
  };
}

/** The id of the item found at an arc length; what belongs to no item is named for its place. */
function namesOf(report: Report, start: number): (along: number) => string {
  return (along) => {
    const item = report.items.find((i) => i.along && Math.abs(i.along.value - start - along) < 0.01);
    return item?.id ?? `extra at ${(along + start).toFixed(0)}`;
  };
}

function overlay(checked: Checked, view: TaggedView, photo: number, name: (along: number) => string): PhotoEvidence {
  const { mat, blank, rings, marks, views } = checked;
  const camera = mat.cameras[photo];
  const base = {
    file: view.photo.file,
    width: view.photo.width,
    height: view.photo.height,
    tags: view.reading.tags.map((tag) => ({ id: tag.id, corners: [...tag.corners] })),
  };
  if (!camera) return { ...base, axis: [], outlines: [], rings: [], marks: [] };
  const covers = blank.covers[photo];
  const own = views.photo.indexOf(photo);
  return {
    ...base,
    ...blankLines(camera, view, blank, covers),
    rings: [
      ...rings.flatMap((ring) => {
        const rims = ring.rims.find((r) => r.photoIndex === own);
        return rims ? [{ id: name(ring.along), rims: rims.polylines }] : [];
      }),
      ...checked.byHand.flatMap(({ id, ring }) =>
        (ring?.rims ?? []).filter(({ view: seen }) => seen === own).map(({ line }) => ({ id, rims: [line] })),
      ),
    ],
    marks: marks
      .filter((mark) => mark.views.includes(own))
      .map((mark) => ({ id: name(mark.along.value), edges: markEdges(camera, blank, mark) })),
    ...(covers ? { covers } : {}),
  };
}

function markEdges(camera: Camera, blank: BlankSolution, mark: FittedMark): Pixel[][] {
  const section = crossSection(blank.axis, mark.along.value);
  return markOutline(camera, blank.axis, mark, facingRoll(section, cameraCentre(camera)));
}

function blankLines(
  camera: Camera,
  view: TaggedView,
  blank: BlankSolution,
  covers: { from: number; to: number } | undefined,
): { axis: Pixel[]; outlines: Pixel[][] } {
  const axis: Pixel[] = [];
  const outlines: [Pixel[], Pixel[]] = [[], []];
  const centre = cameraCentre(camera);
  const inside = (p: Pixel | undefined): p is Pixel =>
    p !== undefined && p[0] >= 0 && p[1] >= 0 && p[0] < view.photo.width && p[1] < view.photo.height;
  for (let s = Math.max(covers?.from ?? 0, 0); s <= (covers?.to ?? -1); s += axisStep) {
    const section = crossSection(blank.axis, s);
    const p = project(camera, section.point);
    if (inside(p)) axis.push(p);
    for (const [i, side] of [
      [0, 1],
      [1, -1],
    ] as const) {
      const q = project(camera, addScaled(section.point, outlineDirection(section, centre, side), section.radius));
      if (inside(q)) outlines[i].push(q);
    }
  }
  return { axis, outlines };
}

function closeUps(checked: Checked, name: (along: number) => string): CloseUp[] {
  const { rings, marks, views, blank, report } = checked;
  const out: CloseUp[] = [];
  const cut = (id: string, view: number, at: Pixel, perMm: number, reach: number, lines: Pixel[][]) => {
    const { photo } = views.list[view]!;
    const half = reach * perMm;
    const rectangle = insidePhoto(photo, { left: at[0] - half, top: at[1] - half, width: 2 * half, height: 2 * half });
    const stride = Math.max(1, Math.round((2 * half) / 480));
    out.push({
      id,
      file: photo.file,
      picture: cropPhoto(photo, rectangle, stride),
      rims: lines.map((line) =>
        line.map(([x, y]): Pixel => [(x - rectangle.left) / stride, (y - rectangle.top) / stride]),
      ),
    });
  };
  const scaleAt = (view: number, along: number) => {
    const section = crossSection(blank.axis, along);
    const a = project(views.list[view]!.camera, section.point);
    const b = project(views.list[view]!.camera, addScaled(section.point, section.along, 1));
    return a && b ? Math.hypot(b[0] - a[0], b[1] - a[1]) : 0;
  };
  for (const ring of rings) {
    const best = [...ring.photos]
      .sort((a, b) => scaleAt(b, ring.along) - scaleAt(a, ring.along))
      .slice(0, closeUpsPerItem);
    for (const view of best) {
      const at = project(views.list[view]!.camera, ring.centre);
      const rims = ring.rims.find((r) => r.photoIndex === view)?.polylines ?? [];
      if (at) cut(name(ring.along), view, at, scaleAt(view, ring.along), Math.max(closeUpReach, ring.ringOuter), rims);
    }
  }
  if (report.stage !== 'marks') return out;
  for (const mark of marks) {
    const best = [...mark.views]
      .sort((a, b) => scaleAt(b, mark.along.value) - scaleAt(a, mark.along.value))
      .slice(0, closeUpsPerItem);
    for (const view of best) {
      const camera = views.list[view]!.camera;
      const at = project(camera, crossSection(blank.axis, mark.along.value).point);
      if (at)
        cut(
          name(mark.along.value),
          view,
          at,
          scaleAt(view, mark.along.value),
          closeUpReach,
          markEdges(camera, blank, mark),
        );
    }
  }
  return out;
}
