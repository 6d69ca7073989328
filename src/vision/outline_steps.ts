import type { Stretch } from '../plan/stretch.ts';
import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { cameraCentre, project } from '../geometry/camera.ts';
import { addScaled, dot, subtract, unit } from '../geometry/vector.ts';
import { median, robustSigma, runningMedian } from '../numerics/robust.ts';
import { edgesAcross } from './edge_profile.ts';
import { outlineDirection } from './outline.ts';
import { type PerView, type View, visibleStretch } from './strip.ts';

/** A stretch where both outlines stand out beyond the blank's own taper; mm from the tip. */
export interface OutlineStep extends Stretch {
  /** how much thicker than the blank: diameter, mm; and how unevenly along the stretch */
  thicker: number;
  uneven: number;
  /** it goes on to the end of what was looked at */
  toEnd: boolean;
}

/** What tells a sleeve, a ferrule or a check from the blank, tape and shadows (common practice, no source). */
const step = {
  /** mm along between looks, and mm of blank that one look averages: a check is a few mm long */
  every: 0.5,
  breadth: 1,
  /** edges are looked for from this share of the radius out to so many mm beyond it; a grip's are farther */
  inward: 0.45,
  reach: 4,
  gripReach: 12,
  /** a grip's edge is looked for from so many mm before it on */
  beforeGrip: 15,
  /** only photos look that see the place from straight across the blank: sine of the angle, at most */
  slant: 0.3,
  /** least slope of an edge, grey levels a pixel, and as a share of the strongest met: soft shadows turn slower */
  leastSlope: 3,
  ofStrongest: 0.5,
  /**
   * least step in diameter, mm: two layers of masking tape, or thread under its finish, make less. Lower tells tape as
   * a sleeve, higher leaves a thin sleeve out
   */
  least: 0.5,
  /** the blank's own taper is what stands over so many mm to either side */
  taper: 150,
  /** shortest stretch, and the longest gap within one, mm */
  shortest: 1.5,
  gap: 1,
  /** longest collar before something thicker, mm */
  collar: 15,
} as const;

/** One side's outline: mm from the axis at every look, NaN where none was met. */
type SideProfile = Float64Array;

function outlineAt(view: View, axis: BlankAxis, s: number, side: 1 | -1, reach: number): number {
  const section = crossSection(axis, s);
  const centre = cameraCentre(view.camera);
  // seen at a slant, a thick part's edge covers what lies before or behind it
  if (Math.abs(dot(unit(subtract(section.point, centre)), section.along)) > step.slant) return Number.NaN;
  const out = outlineDirection(section, centre, side);
  const at = (d: number) => project(view.camera, addScaled(section.point, out, d));
  const inner = step.inward * section.radius;
  const middle = (inner + section.radius + reach) / 2;
  const [from, here, to] = [at(inner), at(middle), at(section.radius + reach)];
  if (!from || !here || !to) return Number.NaN;
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const length = Math.hypot(dx, dy);
  const perMm = length / (section.radius + reach - inner);
  const edges = edgesAcross(view.photo, here, [dx / length, dy / length], {
    reach: length / 2,
    breadth: Math.max(step.breadth * perMm, 1),
    least: step.leastSlope,
  });
  const strongest = Math.max(0, ...edges.map(({ slope }) => Math.abs(slope)));
  const outermost = edges.findLast(({ slope }) => Math.abs(slope) >= step.ofStrongest * strongest);
  return outermost ? middle + outermost.offset / perMm : Number.NaN;
}

/** How far an outline stands out of its own taper: a straight line first, then what changes slowly beside it. */
function beyondTaper(profile: SideProfile): Float64Array {
  const known = [...profile.keys()].filter((i) => Number.isFinite(profile[i]));
  if (known.length < 3) return profile.map(() => Number.NaN);
  const half = known.length >> 1;
  const slopes = known.slice(0, half).map((i, k) => {
    const j = known[k + half]!;
    return (profile[j]! - profile[i]!) / (j - i);
  });
  const slope = median(slopes);
  const level = median(known.map((i) => profile[i]! - slope * i));
  const off = known.map((i) => profile[i]! - slope * i - level);
  const slow = runningMedian(off, Math.round(step.taper / step.every));
  const out = profile.map(() => Number.NaN);
  for (const [k, i] of known.entries()) out[i] = off[k]! - slow[k]!;
  return out;
}

/**
 * Where the outlines step out on both sides, in the photos' median: a sleeve or ferrule, a winding check, the grip. A
 * shadow stands out on one side only, tape by less than is told. `grip` = where the grip begins, if one does: edges are
 * looked for farther out from a little before it on.
 */
export function outlineSteps(views: PerView<View>, axis: BlankAxis, range: Stretch, grip?: number): OutlineStep[] {
  const count = Math.max(Math.floor((range.to - range.from) / step.every) + 1, 0);
  const shown = views.map((view) => visibleStretch(view, axis, range, step.reach));
  const perView = views.flatMap((view, v) => {
    const stretch = shown[v];
    if (!stretch) return [];
    const [left, right] = ([-1, 1] as const).map((side) =>
      beyondTaper(
        Float64Array.from({ length: count }, (_, i) => {
          const s = range.from + i * step.every;
          if (s < stretch.from || s > stretch.to) return Number.NaN;
          return outlineAt(
            view,
            axis,
            s,
            side,
            grip !== undefined && s > grip - step.beforeGrip ? step.gripReach : step.reach,
          );
        }),
      ),
    );
    // both sides of what is round stand out alike
    return [left!.map((l, i) => 2 * Math.min(l, right![i]!))];
  });
  const thicker = Float64Array.from({ length: count }, (_, i) => median(perView.map((own) => own[i]!)));
  return stretches(thicker)
    .flatMap((stretch) => splitAtCollar(thicker, stretch))
    .map(({ from, to, before, beyond }): OutlineStep => {
      const inside = thicker.slice(from + 1, Math.max(to, from + 2)).filter(Number.isFinite);
      const level = median(inside);
      return {
        from: range.from + step.every * crossing(thicker, from, -1, (level + before) / 2),
        to: range.from + step.every * crossing(thicker, to, 1, (level + beyond) / 2),
        thicker: level,
        uneven: robustSigma(inside),
        toEnd: to >= count - 1 - step.gap / step.every,
      };
    });
}

/** A stretch of looks, and how far the outline stands out on either side of it, mm of diameter. */
interface Looks {
  from: number;
  to: number;
  before: number;
  beyond: number;
}

/**
 * A short collar that stands out less than what follows it is a stretch of its own: the winding check before a grip.
 */
function splitAtCollar(thicker: Float64Array, { from, to }: { from: number; to: number }): Looks[] {
  const level = median(thicker.slice(from, to + 1));
  let rise = from;
  while (rise < to && !(thicker[rise]! > level / 2)) rise++;
  const long = (rise - from) * step.every;
  if (long < step.shortest || long > step.collar) return [{ from, to, before: 0, beyond: 0 }];
  const collar = median(thicker.slice(from + 1, rise));
  return [
    { from, to: rise - 1, before: 0, beyond: level },
    { from: rise, to, before: collar, beyond: 0 },
  ];
}

/** Stretches of looks, first and last, over which the outline stands out far enough. */
function stretches(thicker: Float64Array): { from: number; to: number }[] {
  const found: { from: number; to: number }[] = [];
  for (const [i, value] of thicker.entries()) {
    if (!(value > step.least)) continue;
    const last = found.at(-1);
    if (last && (i - last.to) * step.every <= step.gap + step.every) last.to = i;
    else found.push({ from: i, to: i });
  }
  return found.filter(({ from, to }) => (to - from) * step.every >= step.shortest);
}

/** Where the profile passes a level, from a look inside a stretch outward, in looks. */
function crossing(profile: Float64Array, start: number, way: 1 | -1, level: number): number {
  const rises = profile[start + way]! > profile[start]!;
  let i = start;
  while (rises ? profile[i + way]! < level : profile[i + way]! > level) i += way;
  const [inside, outside] = [profile[i]!, profile[i + way]];
  if (outside === undefined || !Number.isFinite(outside) || inside === outside) return i;
  return i + (way * (inside - level)) / (inside - outside);
}
