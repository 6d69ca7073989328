import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import type { FittedMark } from '../adjust/mark_fit.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { drawCloseUps, type DrawnGuide, markEdges } from './close_ups.ts';
import { type HandSet, isReplaced } from './hand_places.ts';
import type { PlacedViews, TaggedView } from './tagged_views.ts';
import { blankRadius, crossSection } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre, project } from '../geometry/camera.ts';
import { isInPhoto, noBorder } from '../geometry/in_photo.ts';
import { addScaled, type Pixel } from '../geometry/vector.ts';
import type { Plan } from '../plan/plan.ts';
import { guidesAreOn } from '../plan/shoot.ts';
import { axisStep, type Evidence, type PhotoEvidence } from '../verdict/evidence.ts';
import type { Report } from '../verdict/report.ts';
import { outlineDirection } from '../vision/outline.ts';
import { drawRibbon } from '../vision/ribbon.ts';
import type { PerPhoto, PhotoIndex } from '../photo/photo.ts';

/** What a check says, and what draws the pictures that prove it, out of what is held of the photos. */
export interface Proved {
  report: Report;
  evidence: () => Evidence;
}

export interface Checked {
  plan: Plan;
  report: Report;
  tagged: PerPhoto<TaggedView>;
  mat: MatSolution;
  blank: BlankSolution;
  views: PlacedViews;
  /** added to an arc length to count as the plan does, mm */
  start: number;
  /** rings and snake guides */
  rings: readonly DrawnGuide[];
  /** the tip-top's ring */
  tipTop?: DrawnGuide | undefined;
  marks: readonly FittedMark[];
  byHand: readonly HandSet[];
}

/** mm of what lies before the tip that the straightened picture shows. */
const beforeTip = 12;

/** The pictures of a check: overlays, the straightened blank, close-ups and the rings' places about the axis. */
export function drawEvidence(all: Checked): Evidence {
  const { plan, blank, views, report, byHand, start, tipTop } = all;
  const rings = [
    ...all.rings.filter((ring) => !guidesAreOn(report.stage) || !isReplaced(ring.along, byHand)),
    ...(tipTop ? [tipTop] : []),
  ];
  const marks = all.marks.filter((mark) => guidesAreOn(report.stage) || !isReplaced(mark.along.value, byHand));
  const checked = { ...all, rings, marks };
  const name = namesOf(report, start, tipTop);
  const items = [...rings.map((r) => r.along), ...marks.map((m) => m.along.value)];
  return {
    photos: checked.tagged.map((view, i) => overlay(checked, view, i, name)),
    ribbon: drawRibbon(views.list, blank.axis, { range: { from: -beforeTip, to: plan.blank.length }, items }),
    closeUps: drawCloseUps(checked, name),
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

/** Places of the report are those of what was found, but for their rounding, mm. */
const samePlace = 0.01;

/** The id of the item found at an arc length; what belongs to no item is named for its place. */
function namesOf(report: Report, start: number, tipTop: DrawnGuide | undefined): (along: number) => string {
  return (along) => {
    if (along === tipTop?.along) return 'tip-top';
    const item = report.items.find((i) => i.along && Math.abs(i.along.value - start - along) < samePlace);
    return item?.id ?? `extra at ${(along + start).toFixed(0)}`;
  };
}

function overlay(
  checked: Checked,
  view: TaggedView,
  photo: PhotoIndex,
  name: (along: number) => string,
): PhotoEvidence {
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
        const rims = ring.rims.find((r) => r.view === own);
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

function blankLines(
  camera: Camera,
  view: TaggedView,
  blank: BlankSolution,
  covers: { from: number; to: number } | undefined,
): { axis: Pixel[]; outlines: Pixel[][] } {
  const axis: Pixel[] = [];
  const outlines: [Pixel[], Pixel[]] = [[], []];
  const centre = cameraCentre(camera);
  const inside = (p: Pixel | undefined): p is Pixel => p !== undefined && isInPhoto(view.photo, p, noBorder);
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
