import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { cameraCentre } from '../geometry/camera.ts';
import { addScaled, norm, type Pixel, subtract } from '../geometry/vector.ts';
import type { ProfileEdge } from './edge_profile.ts';
import { projectionRows, type RimSample } from './rim_edges.ts';
import type { View } from './strip.ts';

/**
 * How one photo shows the blank near one place: the axis point, the unit direction of the axis toward the butt, the
 * half width; pixels.
 */
export interface BlankInView {
  foot: Pixel;
  direction: Pixel;
  halfWidth: number;
}

/** How the blank is told beside a ring's rims (held to the rings of tests/world). */
const outline = {
  /** mm along the axis over which its direction in the photo is taken: longer, and a bow turns it */
  ahead: 5,
  /**
   * an edge this near the blank's outline (pixels), within this sine of running along it, is taken for the blank's own:
   * wider, and a small ring's rim beside the blank is lost; narrower, and the outline speaks for rings
   */
  reach: 2,
  turn: 0.6,
} as const;

export function blankInView(view: View, axis: BlankAxis, along: number): BlankInView | undefined {
  const section = crossSection(axis, along);
  const foot = projectionRows(view.camera, section.point)?.pixel;
  const ahead = projectionRows(view.camera, addScaled(section.point, section.along, outline.ahead))?.pixel;
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
  /** on the blank's own outline and across it: an edge there may be the blank's */
  onOutline: boolean;
}

export function besideBlank(blank: BlankInView, pixel: Pixel, outward: Pixel): Beside {
  const [dx, dy] = blank.direction;
  const off = (pixel[0] - blank.foot[0]) * dy - (pixel[1] - blank.foot[1]) * dx;
  const lateral = outward[0] * dy - outward[1] * dx;
  const axial = outward[0] * dx + outward[1] * dy;
  const distance = Math.abs(off) - blank.halfWidth;
  const side = Math.abs(axial) > Math.abs(lateral) ? (axial > 0 ? 0 : 1) : lateral > 0 ? 2 : 3;
  return { distance, side, onOutline: Math.abs(distance) < outline.reach && Math.abs(lateral) > outline.turn };
}

/** The edges of a rim sample that the blank's own outline does not explain. */
export const ownEdges = (blank: BlankInView, { pixel, outward, edges }: RimSample): ProfileEdge[] =>
  edges.filter(
    ({ offset }) =>
      !besideBlank(blank, [pixel[0] + offset * outward[0], pixel[1] + offset * outward[1]], outward).onOutline,
  );
