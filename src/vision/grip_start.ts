import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { project } from '../geometry/camera.ts';
import { addScaled } from '../geometry/vector.ts';
import { median } from '../numerics/robust.ts';
import { samplePhoto } from './sampling.ts';
import { type View, visibleStretch, type PerView } from './strip.ts';
import type { Colour } from './strip_relief.ts';

/** Bare blank that a split grip leaves beyond its first part at most, mm: what hides a blank is followed by more. */
export const splitGripBare = 250;

/** What tells a grip or reel seat from the blank (common practice, no source; held to the drawn rods). */
const thick = {
  /** mm between cross-sections: how exactly its place is known at all */
  spacing: 2,
  /** mm over which it must stay thick, guides and tape widen the outline for less; and where the photos end */
  sustained: 40,
  atEdge: 8,
  /** share of the looks ahead that must be thick: one may fall on a reflection */
  ofLooks: 0.85,
  /** beyond this share of the rod on from the tip only, and the blank's taper told up to that share of it */
  from: 0.25,
  taperTo: 0.6,
  /** how many times as wide as the blank it is; mm that blur and a shadow's edge add to a half-width */
  wider: 1.25,
  blur: 0.7,
  /** looked for from this share of the expected radius out to that many radii and mm beyond, in steps of mm */
  inside: 0.5,
  reach: { radii: 3, mm: 8 },
  step: 0.25,
  /** levels of luma and colour its edge turns by at least, and as a share of the sharpest: soft shadows don't */
  leastTurn: 12,
  ofSharpest: 0.6,
  /** its winding check is no mark: marks are looked for up to so many mm before it */
  clearOfMarks: 8,
  /** the taper is taken for no thinner than this anywhere, mm */
  leastRadius: 0.3,
  /** pixels of photo round the stretch that is looked at */
  margin: 4,
} as const;

const axisEnd = (axis: BlankAxis): number => axis.from + (axis.points.length - 1) * axis.step;

/** The blank's radius by its own taper: a straight line through the table's rows up to a share of its length. */
function taper(axis: BlankAxis): (s: number) => number {
  const last = axis.radii.length - 1;
  const middle = Math.max(Math.round(last * thick.taperTo), 1);
  const slope = (axis.radii[middle]! - axis.radii[0]!) / (middle * axis.step);
  return (s) => Math.max(axis.radii[0]! + slope * (s - axis.from), thick.leastRadius);
}

/**
 * Half-width (mm) of what stands against the lane on one side of the axis: the outermost place where the colour turns
 * most sharply. Soft shadows turn slowly and don't count.
 */
function halfWidth(view: View, axis: BlankAxis, s: number, side: 1 | -1, expected: number): number | undefined {
  const section = crossSection(axis, s);
  const reach = thick.reach.radii * expected + thick.reach.mm;
  const spacing = thick.step;
  const colours: Colour[] = [];
  for (let d = thick.inside * expected; d <= reach; d += spacing) {
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
  if (sharpest < thick.leastTurn) return undefined;
  for (let i = turns.length - 1; i >= 0; i--) {
    if (turns[i]! > thick.ofSharpest * sharpest) return thick.inside * expected + (i + 1) * spacing;
  }
  return undefined;
}

/**
 * How many times as wide as the blank's taper what lies there is, at each place of `at` (mm, growing): one number for
 * every view that shows it. One photo after the other is looked at, for of many photos not all are held in memory.
 */
function widths(views: PerView<View>, axis: BlankAxis, at: readonly number[]): number[][] {
  const range = { from: axis.from, to: axisEnd(axis) };
  const radius = taper(axis);
  const ratios = at.map((): number[] => []);
  for (const view of views) {
    const stretch = visibleStretch(view, axis, range, thick.margin);
    if (stretch === undefined) continue;
    for (const [i, s] of at.entries()) {
      if (s < stretch.from || s > stretch.to) continue;
      const expected = radius(s);
      const left = halfWidth(view, axis, s, -1, expected);
      const right = halfWidth(view, axis, s, 1, expected);
      if (left === undefined || right === undefined) continue;
      ratios[i]!.push((Math.min(left, right) - thick.blur) / expected);
    }
  }
  return ratios;
}

/**
 * Arc length (mm) where the grip or reel seat begins: the outline on both sides grows suddenly beyond the blank's taper
 * and stays so; what covers the blank on the way, a hand or a tool, is none. Undefined when no photo shows that, as on
 * a bare blank or a tip section. `isBare` = whether something else is sure that a stretch of the blank bears neither:
 * soft shadows on both sides of a pale blank look like a grip.
 */
export function gripStart(
  views: PerView<View>,
  axis: BlankAxis,
  isBare: (stretch: { from: number; to: number }) => boolean = () => false,
): number | undefined {
  const end = axisEnd(axis);
  const at: number[] = [];
  for (let s = axis.from + thick.from * (end - axis.from); s <= end; s += thick.spacing) at.push(s);
  const ratios = widths(views, axis, at);
  const places = at.flatMap((s, i) => (ratios[i]!.length > 0 ? [{ s, wide: median(ratios[i]!) > thick.wider }] : []));
  for (const [i, place] of places.entries()) {
    if (!place.wide) continue;
    if (places.slice(i).filter(({ wide }) => !wide).length * thick.spacing > splitGripBare) continue;
    const ahead = places.slice(i).filter((other) => other.s <= place.s + thick.sustained);
    const reach = ahead[ahead.length - 1]!.s - place.s;
    const reached =
      reach >=
      (place.s + thick.sustained > places[places.length - 1]!.s ? thick.atEdge : thick.sustained - 2 * thick.spacing);
    if (!reached || ahead.filter((other) => other.wide).length < thick.ofLooks * ahead.length) continue;
    if (!isBare({ from: place.s, to: place.s + reach })) return place.s - thick.spacing / 2;
  }
  return undefined;
}

/** Arc lengths (mm) that may bear marks: from the tip to a little before the grip, whose winding check is no mark. */
export function markRange(axis: BlankAxis, grip: number | undefined): { from: number; to: number } {
  const end = axisEnd(axis);
  return {
    from: Math.max(axis.from, 0),
    to: grip === undefined ? end : Math.max(grip - thick.clearOfMarks, axis.from),
  };
}
