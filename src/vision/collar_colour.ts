import type { Stretch } from '../plan/stretch.ts';
import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { cameraCentre, project } from '../geometry/camera.ts';
import { addScaled, cross, dot, subtract, unit } from '../geometry/vector.ts';
import { median } from '../numerics/robust.ts';
import { samplePhoto } from './sampling.ts';
import type { PerView, View } from './strip.ts';
import type { Colour } from './strip_relief.ts';

/** How the colour of a collar is held against that of what follows it (named by eye, no source). */
const held = {
  /** looked at along so many lines, at these shares of the radius to either side: shade and gloss differ across */
  lines: [-0.5, -0.25, 0, 0.25, 0.5],
  /** mm between looks along; the edges' blur is left out, as a share of the collar and mm beyond it */
  every: 0.25,
  edge: 0.2,
  beyond: 1,
  /** only photos look that see it from straight across: sine of the angle, at most */
  slant: 0.3,
  /** levels of luma and chroma by which another part differs at least, and one and the same at most */
  other: 14,
  same: 7,
  /** cork and cord change colour by themselves: so many times what stretches as long as the collar differ there */
  ofSpread: { other: 2.5, same: 1 },
} as const;

const distance = (a: Colour, b: Colour): number => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
const medianColour = (colours: readonly Colour[]): Colour => [
  median(colours.map(([luma]) => luma)),
  median(colours.map(([, blue]) => blue)),
  median(colours.map(([, , red]) => red)),
];

/** Colours of one part along a line of its surface that faces the camera; `radius` of the part, mm. */
function coloursAlong(view: View, axis: BlankAxis, { from, to }: Stretch, radius: number, share: number): Colour[] {
  const centre = cameraCentre(view.camera);
  const colours: Colour[] = [];
  for (let s = from; s <= to; s += held.every) {
    const section = crossSection(axis, s);
    const sight = unit(subtract(centre, section.point));
    const slant = dot(sight, section.along);
    if (Math.abs(slant) > held.slant) continue;
    const facing = unit(addScaled(sight, section.along, -slant));
    const across = cross(section.along, facing);
    const surface = addScaled(
      addScaled(section.point, across, share * radius),
      facing,
      Math.sqrt(1 - share ** 2) * radius,
    );
    const pixel = project(view.camera, surface);
    const colour = pixel && samplePhoto(view.photo, pixel[0], pixel[1]);
    if (colour?.every(Number.isFinite)) colours.push(colour);
  }
  return colours;
}

/**
 * Whether a collar is of the colour of the thicker part that follows it, shade by shade, in the photos' median:
 * `'same'` as a grip's own front is, `'other'` as a winding check or trim is, undefined where it is near to either or
 * no photo sees both from straight across. Stretches in mm from the tip, radii in mm.
 */
export function collarColour(
  views: PerView<View>,
  axis: BlankAxis,
  collar: Stretch & { radius: number },
  follows: Stretch & { radius: number },
): 'same' | 'other' | undefined {
  const long = collar.to - collar.from;
  const inner = { from: collar.from + held.edge * long, to: collar.to - held.edge * long };
  const start = follows.from + held.beyond;
  const pieces = Math.floor((follows.to - start) / long);
  const looks = views.flatMap((view) =>
    held.lines.flatMap((share) => {
      const own = coloursAlong(view, axis, inner, collar.radius, share);
      const others = Array.from({ length: pieces }, (_, k) =>
        coloursAlong(view, axis, { from: start + k * long, to: start + (k + 1) * long }, follows.radius, share),
      ).filter((colours) => colours.length > 0);
      if (own.length === 0 || others.length === 0) return [];
      const each = others.map(medianColour);
      const whole = medianColour(each);
      return [
        { off: distance(medianColour(own), whole), spread: median(each.map((colour) => distance(colour, whole))) },
      ];
    }),
  );
  if (looks.length === 0) return undefined;
  const off = median(looks.map((look) => look.off));
  const spread = median(looks.map((look) => look.spread));
  if (off > Math.max(held.other, held.ofSpread.other * spread)) return 'other';
  return off < Math.max(held.same, held.ofSpread.same * spread) ? 'same' : undefined;
}
