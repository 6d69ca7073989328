import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { cameraCentre } from '../geometry/camera.ts';
import { addScaled, norm, type Pixel, subtract } from '../geometry/vector.ts';
import { projectionRows } from './rim_edges.ts';
import type { View } from './strip.ts';

/** How one photo shows the blank near one place: the axis point, the unit direction of the axis toward the butt, the half width; pixels. */
export interface BlankInView {
  foot: Pixel;
  direction: Pixel;
  halfWidth: number;
}

export function blankInView(view: View, axis: BlankAxis, along: number): BlankInView | undefined {
  const section = crossSection(axis, along);
  const foot = projectionRows(view.camera, section.point)?.pixel;
  const ahead = projectionRows(view.camera, addScaled(section.point, section.along, 5))?.pixel;
  if (!foot || !ahead) return undefined;
  const dx = ahead[0] - foot[0];
  const dy = ahead[1] - foot[1];
  const length = Math.hypot(dx, dy) || 1;
  const range = norm(subtract(cameraCentre(view.camera), section.point));
  return {
    foot,
    direction: [dx / length, dy / length],
    halfWidth: (section.radius * view.camera.intrinsics.focal) / range,
  };
}

/** Where a place with a direction lies relative to the blank. */
export interface Beside {
  /** pixels beyond the blank's outline; negative on the blank */
  distance: number;
  /** which way the direction points: 0 butt, 1 tip, 2 and 3 across */
  side: 0 | 1 | 2 | 3;
  /** on the blank's own outline and square to it: an edge there may be the blank's */
  alongOutline: boolean;
}

export function besideBlank(blank: BlankInView, at: { pixel: Pixel; outward: Pixel }): Beside {
  const [dx, dy] = blank.direction;
  const off = (at.pixel[0] - blank.foot[0]) * dy - (at.pixel[1] - blank.foot[1]) * dx;
  const lateral = at.outward[0] * dy - at.outward[1] * dx;
  const axial = at.outward[0] * dx + at.outward[1] * dy;
  const distance = Math.abs(off) - blank.halfWidth;
  const side = Math.abs(axial) > Math.abs(lateral) ? (axial > 0 ? 0 : 1) : lateral > 0 ? 2 : 3;
  return { distance, side, alongOutline: Math.abs(distance) < 2 && Math.abs(lateral) > 0.8 };
}
