import { type BlankAxis, blankRadius, crossSection } from '../geometry/blank_axis.ts';
import { scale } from '../geometry/vector.ts';
import { project } from '../geometry/camera.ts';
import { isInPhoto, withinCentres } from '../geometry/in_photo.ts';
import { findTip } from './tip.ts';
import type { PerView, View, ViewIndex } from './strip.ts';

/** The butt end of a bare blank: arc length from the tip with its reading's standard uncertainty, mm. */
export interface ButtEnd {
  along: number;
  u: number;
  /** views that show it */
  views: ViewIndex[];
}

const looked = {
  /** mm to both sides of where the outlines end */
  reach: 16,
  /** two looks at one end that differ by more than chance: their half difference is its doubt */
  least: 0.08,
} as const;

/**
 * The end of the blank near arc length `near` (mm), as the tip is found but looking the other way: where its contrast
 * with the ground ends, in each view that shows it with paper beyond. `bleed` = how far white bleeds over printed
 * edges, mm. Undefined where none does.
 */
export function buttEnd(
  views: PerView<View>,
  axis: BlankAxis,
  near: number,
  bleed: PerView<number>,
): ButtEnd | undefined {
  const section = crossSection(axis, near);
  const station = {
    t: near,
    point: section.point,
    along: scale(section.along, -1),
    radius: blankRadius(axis, near),
  };
  const seen = views.flatMap(({ photo, camera }, view) => {
    const pixel = project(camera, section.point);
    if (!pixel || !isInPhoto(photo, pixel, withinCentres(0))) return [];
    const end = findTip(photo, camera, station, { reach: looked.reach, bleed: bleed[view]! });
    if (!end) return [];
    const out = project(camera, crossSection(axis, near + 1).point)!;
    const perMm = Math.hypot(out[0] - pixel[0], out[1] - pixel[1]);
    return [{ view, along: near - end.offset, u: end.sigma / perMm }];
  });
  if (seen.length === 0) return undefined;
  const weight = seen.reduce((sum, { u }) => sum + 1 / u ** 2, 0);
  const along = seen.reduce((sum, one) => sum + one.along / one.u ** 2, 0) / weight;
  const astray = Math.max(...seen.map((one) => Math.abs(one.along - along)));
  return { along, u: Math.hypot(looked.least, 1 / Math.sqrt(weight), astray), views: seen.map(({ view }) => view) };
}
