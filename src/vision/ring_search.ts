import { brown, makeBrownImage } from '../geometry/brown.ts';
import { type BlankAxis, type CrossSection, crossSection, rollDirection } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre, project } from '../geometry/camera.ts';
import { fieldShift } from '../geometry/lens_field.ts';
import type { Ring } from '../geometry/ring.ts';
import { add, addScaled, norm, scale, subtract, transform, unit, type Vector3 } from '../geometry/vector.ts';
import { type GradientLevel, type GradientPyramid, gradientPyramid, type PixelBox } from './gradient_pyramid.ts';
import { clarity, rimTemplate, type RimTemplate } from './rim_template.ts';
import type { View } from './strip.ts';

/** A kind of ring to look for: sizes in mm, height from the blank's surface to the ring's centre, lean in degrees. */
export interface RingKind {
  outer: number;
  inner: number;
  halfThickness: number;
  rounding: number;
  height: number;
  lean: number;
}

export interface RingCandidate {
  /** index into the kinds */
  kind: number;
  /** mm along the blank; degrees */
  along: number;
  roll: number;
  score: number;
}

/** Ring's diameter in the level it is looked for in, pixels: enough to tell a tube from a band, small enough to be found by steps of a pixel or two. */
const SEARCH_DIAMETER = 14;
/** Steps along and across, as shares of the ring's diameter: about a pixel of the level. Seen from above, a ring is long across and narrow along. */
const STEP = 0.08;
const ACROSS_STEP = 0.11;
/** What a place without a ring scores: an edge in a chance direction, half the time. */
const CHANCE = 0.25;

export function ringAt(axis: BlankAxis, kind: RingKind, along: number, roll: number): Ring {
  const section = crossSection(axis, along);
  const radial = rollDirection(section, roll);
  const lean = (kind.lean * Math.PI) / 180;
  return {
    centre: addScaled(section.point, radial, section.radius + kind.height),
    normal: unit(add(scale(section.along, Math.cos(lean)), scale(radial, Math.sin(lean)))),
    outer: kind.outer,
    inner: kind.inner,
    halfThickness: kind.halfThickness,
    boreHalfThickness: kind.halfThickness,
    rounding: kind.rounding,
  };
}

/** The part of the photo that the blank and its guides can show in, or undefined. */
export function corridor(view: View, axis: BlankAxis, reach: number): PixelBox | undefined {
  const box = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };
  const { width, height } = view.photo;
  for (const point of axis.points) {
    for (const side of [-reach, reach]) {
      for (const up of [0, reach]) {
        const p = project(view.camera, [point[0], point[1] + side, point[2] + up]);
        if (!p || p[0] < -width / 4 || p[1] < -height / 4 || p[0] > 1.25 * width || p[1] > 1.25 * height) continue;
        box.left = Math.min(box.left, p[0]);
        box.right = Math.max(box.right, p[0]);
        box.top = Math.min(box.top, p[1]);
        box.bottom = Math.max(box.bottom, p[1]);
      }
    }
  }
  if (!(box.right > 0 && box.bottom > 0 && box.left < width && box.top < height)) return undefined;
  return {
    left: Math.max(0, box.left),
    top: Math.max(0, box.top),
    right: Math.min(width, box.right),
    bottom: Math.min(height, box.bottom),
  };
}

/**
 * Looks for rings of the given kinds standing off the blank, everywhere along it and all round above the bench: the model's rims are laid over the
 * photos' edges, in all photos at once. Every local best of each kind is a candidate, best first; `refine` places one more finely.
 */
export function searchRings(views: readonly View[], axis: BlankAxis, kinds: readonly RingKind[]): RingSearch {
  const reach = Math.max(...kinds.map((k) => k.height + k.outer)) + Math.max(...axis.radii);
  const pyramids: SearchView[] = [];
  for (const view of views) {
    const box = corridor(view, axis, reach);
    if (box) pyramids.push({ view, pyramid: gradientPyramid(view.photo, box), eye: cameraCentre(view.camera) });
  }
  const candidates: RingCandidate[] = [];
  for (const [index, kind] of kinds.entries()) candidates.push(...searchKind(pyramids, axis, kind, index));
  return {
    candidates: candidates.sort((a, b) => b.score - a.score),
    refine: (candidate) => refine(pyramids, axis, kinds[candidate.kind]!, candidate),
  };
}

/** How far along the blank, as a share of the distance to the camera, one template serves: the view turns by as many radians. */
const TEMPLATE_TURN = 0.03;
/** Degrees of roll one template serves. */
const TEMPLATE_ROLL = 20;

interface SearchView {
  view: View;
  pyramid: GradientPyramid;
  eye: Vector3;
}

/** What a search leaves behind: candidates, and a way to place one of them better. */
export interface RingSearch {
  candidates: RingCandidate[];
  refine: (candidate: RingCandidate) => RingCandidate;
}

/** Tries places round a candidate in steps of half a pixel or so of a picture twice as fine. */
function refine(
  views: readonly SearchView[],
  axis: BlankAxis,
  kind: RingKind,
  candidate: RingCandidate,
): RingCandidate {
  const section = crossSection(axis, candidate.along);
  const distance = section.radius + kind.height;
  const shapes: { level: GradientLevel; shape: RimTemplate; view: View }[] = [];
  for (const { view, pyramid, eye } of views) {
    const pixels = (2 * kind.outer * view.camera.intrinsics.focal) / norm(subtract(eye, section.point));
    const level = pyramid.level(Math.max(0, Math.round(Math.log2(pixels / SEARCH_DIAMETER)) - 1));
    const shape = rimTemplate(view, ringAt(axis, kind, candidate.along, candidate.roll), level.factor);
    if (shape) shapes.push({ level, shape, view });
  }
  const step = (STEP * 2 * kind.outer) / 3;
  const rollStep = ((step / distance) * 180) / Math.PI;
  let best = { ...candidate };
  let bestScore = -1;
  for (let i = -4; i <= 4; i++) {
    const along = candidate.along + i * step;
    const here = crossSection(axis, along);
    for (let j = -4; j <= 4; j++) {
      const roll = candidate.roll + j * rollStep;
      const point = addScaled(here.point, rollDirection(here, roll), distance);
      let score = 0;
      for (const { level, shape, view } of shapes) {
        const p = project(view.camera, point);
        if (!p) continue;
        const half = (level.factor - 1) / 2;
        const q = clarity(level, shape, (p[0] - half) / level.factor, (p[1] - half) / level.factor);
        if (!Number.isNaN(q)) score += q;
      }
      if (score > bestScore) {
        bestScore = score;
        best = { ...candidate, along, roll };
      }
    }
  }
  return best;
}

function searchKind(pyramids: readonly SearchView[], axis: BlankAxis, kind: RingKind, index: number): RingCandidate[] {
  const diameter = 2 * kind.outer;
  const ds = STEP * diameter;
  const end = axis.from + axis.step * (axis.points.length - 1);
  const columns = Math.floor((end - axis.from) / ds);
  const middleRadius = axis.radii[axis.radii.length >> 1]!;
  const rollStep = ((ACROSS_STEP * diameter) / (kind.height + middleRadius)) * (180 / Math.PI);
  const rolls = Math.floor(115 / rollStep);
  const rows = 2 * rolls + 1;
  const scores = new Float32Array(columns * rows);
  const kept = pyramids.map(() => ({
    from: Number.NaN,
    factor: 0,
    shapes: new Map<number, RimTemplate | undefined>(),
  }));
  for (let c = 0; c < columns; c++) {
    const s = axis.from + (c + 0.5) * ds;
    const section = crossSection(axis, s);
    const distance = section.radius + kind.height;
    const limit = rowsAboveBench(section.point[2], distance, kind.outer);
    for (const [i, { view, pyramid, eye }] of pyramids.entries()) {
      const middle = project(view.camera, section.point);
      if (!middle || middle[0] < 0 || middle[1] < 0 || middle[0] > view.photo.width || middle[1] > view.photo.height)
        continue;
      const range = norm(subtract(eye, section.point));
      const pixels = (diameter * view.camera.intrinsics.focal) / range;
      const level = pyramid.level(Math.max(0, Math.round(Math.log2(pixels / SEARCH_DIAMETER))));
      const keep = kept[i]!;
      if (!(s - keep.from < TEMPLATE_TURN * range) || keep.factor !== level.factor) {
        keep.from = s;
        keep.factor = level.factor;
        keep.shapes.clear();
      }
      const place = sectionProjector(view.camera, section, distance);
      const half = (level.factor - 1) / 2;
      for (let r = 0; r < rows; r++) {
        const roll = (r - rolls) * rollStep;
        if (Math.abs(roll) > limit) continue;
        const near = Math.round(roll / TEMPLATE_ROLL);
        let shape = keep.shapes.get(near);
        if (!shape && !keep.shapes.has(near)) {
          const middleOfStretch = keep.from + 0.5 * TEMPLATE_TURN * range;
          shape = rimTemplate(view, ringAt(axis, kind, middleOfStretch, near * TEMPLATE_ROLL), level.factor);
          keep.shapes.set(near, shape);
        }
        if (!shape) continue;
        place(roll);
        const q = clarity(level, shape, (pixelX - half) / level.factor, (pixelY - half) / level.factor);
        if (!Number.isNaN(q)) scores[c * rows + r]! += q - CHANCE;
      }
    }
  }
  return peaks(scores, columns, rows).map(({ c, r, score }) => ({
    kind: index,
    along: axis.from + (c + 0.5) * ds,
    roll: (r - rolls) * rollStep,
    score,
  }));
}

// Written by the projector below: the search asks for millions of places, and an array each would cost more than the rest.
let pixelX = 0;
let pixelY = 0;

/** Projects the points at one distance from the axis in one cross-section: `place(roll in degrees)` sets pixelX and pixelY. */
function sectionProjector(camera: Camera, section: CrossSection, distance: number): (roll: number) => void {
  const base = add(transform(camera.matrix, section.point), camera.pose.translation);
  const up = scale(transform(camera.matrix, section.up), distance);
  const right = scale(transform(camera.matrix, section.right), distance);
  const { focal, centre, distortion, field } = camera.intrinsics;
  const at = makeBrownImage();
  // Over one cross-section the lens's field does not change.
  const axis = project(camera, section.point);
  const [shiftX, shiftY] = field && axis ? fieldShift(field, axis[0], axis[1]) : [0, 0];
  return (roll) => {
    const a = (roll * Math.PI) / 180;
    const c = Math.cos(a);
    const s = Math.sin(a);
    const z = base[2] + c * up[2] + s * right[2];
    const x = (base[0] + c * up[0] + s * right[0]) / z;
    const y = (base[1] + c * up[1] + s * right[1]) / z;
    brown(distortion, x, y, at);
    pixelX = focal * at.x + centre[0] + shiftX;
    pixelY = focal * at.y + centre[1] + shiftY;
  };
}

/** The largest roll at which a ring still stands above the bench. */
function rowsAboveBench(axisHeight: number, distance: number, outer: number): number {
  const cos = (outer - 1.5 - axisHeight) / distance;
  return cos >= 1 ? 0 : cos <= -1 ? 180 : (Math.acos(cos) * 180) / Math.PI;
}

function peaks(scores: Float32Array, columns: number, rows: number): { c: number; r: number; score: number }[] {
  const found: { c: number; r: number; score: number }[] = [];
  for (let c = 0; c < columns; c++) {
    for (let r = 0; r < rows; r++) {
      const score = scores[c * rows + r]!;
      if (score <= 0) continue;
      let top = true;
      for (let dc = -4; dc <= 4 && top; dc++) {
        for (let dr = -4; dr <= 4; dr++) {
          const cc = c + dc;
          const rr = r + dr;
          if (cc < 0 || rr < 0 || cc >= columns || rr >= rows || (dc === 0 && dr === 0)) continue;
          const other = scores[cc * rows + rr]!;
          if (other > score || (other === score && (dc < 0 || (dc === 0 && dr < 0)))) {
            top = false;
            break;
          }
        }
      }
      if (top) found.push({ c, r, score });
    }
  }
  return found;
}
