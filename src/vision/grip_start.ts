import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { project } from '../geometry/camera.ts';
import { addScaled } from '../geometry/vector.ts';
import { median } from '../numerics/robust.ts';
import { samplePhoto } from './sampling.ts';
import { type View, visibleStretch, type PerView } from './strip.ts';
import type { Colour } from './strip_relief.ts';

const SPACING = 2; // mm between cross-sections
const SUSTAINED = 40; // mm: guides and tape widen the outline for less
const AT_EDGE = 8; // mm that suffice where the photos end

/** The blank's radius by its own taper: a straight line through the table's rows up to 60 % of its length. */
function taper(axis: BlankAxis): (s: number) => number {
  const last = axis.radii.length - 1;
  const middle = Math.max(Math.round(last * 0.6), 1);
  const slope = (axis.radii[middle]! - axis.radii[0]!) / (middle * axis.step);
  return (s) => Math.max(axis.radii[0]! + slope * (s - axis.from), 0.3);
}

/**
 * Half-width (mm) of what stands against the lane on one side of the axis: the outermost place where the colour turns
 * most sharply. Soft shadows turn slowly and don't count.
 */
function halfWidth(view: View, axis: BlankAxis, s: number, side: 1 | -1, expected: number): number | undefined {
  const section = crossSection(axis, s);
  const reach = 3 * expected + 8;
  const spacing = 0.25;
  const colours: Colour[] = [];
  for (let d = 0.5 * expected; d <= reach; d += spacing) {
    const pixel = project(view.camera, addScaled(section.point, section.right, side * d));
    if (pixel === undefined) return undefined;
    const colour = samplePhoto(view.photo, pixel[0], pixel[1]);
    if (!colour.every(Number.isFinite)) return undefined;
    colours.push(colour);
  }
  const turns = colours.map((c, i) => {
    const next = colours[i + 2];
    return next === undefined ? 0 : Math.hypot(next[0] - c[0], next[1] - c[1], next[2] - c[2]);
  });
  const sharpest = Math.max(...turns);
  if (sharpest < 12) return undefined;
  for (let i = turns.length - 1; i >= 0; i--) {
    if (turns[i]! > 0.6 * sharpest) return 0.5 * expected + (i + 1) * spacing;
  }
  return undefined;
}

/**
 * Arc length (mm) where the grip or reel seat begins: the outline on both sides grows suddenly beyond the blank's taper
 * and stays so. Undefined when no photo shows that, as on a bare blank or a tip section.
 */
export function gripStart(views: PerView<View>, axis: BlankAxis): number | undefined {
  const end = axis.from + (axis.points.length - 1) * axis.step;
  const radius = taper(axis);
  const range = { from: axis.from, to: end };
  const stretches = views.map((view) => visibleStretch(view, axis, range, 4));
  const places: { s: number; wide: boolean }[] = [];
  for (let s = axis.from + 0.25 * (end - axis.from); s <= end; s += SPACING) {
    const expected = radius(s);
    const ratios: number[] = [];
    for (const [i, view] of views.entries()) {
      const stretch = stretches[i];
      if (stretch === undefined || s < stretch.from || s > stretch.to) continue;
      const left = halfWidth(view, axis, s, -1, expected);
      const right = halfWidth(view, axis, s, 1, expected);
      if (left === undefined || right === undefined) continue;
      ratios.push((Math.min(left, right) - 0.7) / expected);
    }
    if (ratios.length > 0) places.push({ s, wide: median(ratios) > 1.25 });
  }
  for (const [i, place] of places.entries()) {
    if (!place.wide) continue;
    const ahead = places.slice(i).filter((other) => other.s <= place.s + SUSTAINED);
    const reach = ahead[ahead.length - 1]!.s - place.s;
    const reached = reach >= (place.s + SUSTAINED > places[places.length - 1]!.s ? AT_EDGE : SUSTAINED - 2 * SPACING);
    if (reached && ahead.filter((other) => other.wide).length >= 0.85 * ahead.length) return place.s - SPACING / 2;
  }
  return undefined;
}

/** Arc lengths (mm) that may bear marks: from the tip to a little before the grip, whose winding check is no mark. */
export function markRange(axis: BlankAxis, grip: number | undefined): { from: number; to: number } {
  const end = axis.from + (axis.points.length - 1) * axis.step;
  return { from: Math.max(axis.from, 0), to: grip === undefined ? end : Math.max(grip - 8, axis.from) };
}
