import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { project } from '../geometry/camera.ts';
import { addScaled } from '../geometry/vector.ts';
import { median } from '../numerics/robust.ts';
import { samplePhoto } from './sampling.ts';
import type { View } from './strip.ts';
import type { Colour } from './strip_relief.ts';

/** Where white paper is read beside the blank, mm; nearer lies its shadow, farther the tags. */
const beside = {
  /** to both sides of the axis */
  sides: [-40, -32, -26, -20, -15, 15, 20, 26, 32, 40],
  /** along, to both sides of the place, in steps */
  along: 20,
  step: 5,
  /** fewer places that the photo shows say nothing */
  least: 10,
} as const;

/** What white paper shows in a well exposed photo: luma, Cb, Cr. For photos that show none beside the place. */
export const usualPaper: Colour = [235, 128, 128];

/**
 * Luma, Cb, Cr of the white lane beside the blank at arc length `s`: the median over places 15 to 40 mm to both sides
 * on the bench (z = 0). Undefined where the photo does not show it.
 */
export function paperColour(view: View, axis: BlankAxis, s: number): Colour | undefined {
  const samples: Colour[] = [];
  for (let ds = -beside.along; ds <= beside.along; ds += beside.step) {
    const section = crossSection(axis, s + ds);
    for (const side of beside.sides) {
      const p = addScaled(section.point, section.right, side);
      const pixel = project(view.camera, [p[0], p[1], 0]);
      if (pixel === undefined) continue;
      const colour = samplePhoto(view.photo, pixel[0], pixel[1]);
      if (colour.every(Number.isFinite)) samples.push(colour);
    }
  }
  if (samples.length < beside.least) return undefined;
  return [0, 1, 2].map((i) => median(samples.map((c) => c[i]!))) as unknown as Colour;
}
