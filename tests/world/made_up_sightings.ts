import type { BlankAxis } from '../../src/geometry/blank_axis.ts';
import { cameraCentre, project } from '../../src/geometry/camera.ts';
import { axisPoint } from '../../src/geometry/blank_axis.ts';
import type { Ring } from '../../src/geometry/ring.ts';
import { norm, subtract } from '../../src/geometry/vector.ts';
import type { RingSighting } from '../../src/vision/finder/sighting.ts';
import { stripPlace } from '../../src/vision/finder/strip_place.ts';
import type { View } from '../../src/vision/strip.ts';
import { seededNormal } from './seeded_random.ts';

/** What a finder would see of rings at known places, with its own scatter: `along`, `across` in mm, the radius as a share. */
export function sightingsOf(
  views: readonly View[],
  axis: BlankAxis,
  rings: readonly Ring[],
  options: { seed?: number; place?: number; radius?: number; score?: number } = {},
): RingSighting[] {
  const normal = seededNormal(options.seed ?? 1);
  const { place = 0.35, radius = 0.05, score = 0.8 } = options;
  return rings.flatMap((ring) =>
    views.flatMap((view, index): RingSighting[] => {
      const pixel = project(view.camera, ring.centre);
      const at = stripPlace(view.camera, axis, ring.centre, ring.centre[0]);
      const { width, height } = view.photo;
      if (!pixel || !at || pixel[0] < 0 || pixel[1] < 0 || pixel[0] > width || pixel[1] > height) return [];
      const eye = cameraCentre(view.camera);
      const nearer = norm(subtract(axisPoint(axis, at.along), eye)) / norm(subtract(ring.centre, eye));
      return [
        {
          view: index,
          kind: 'ring',
          score,
          along: at.along + place * normal(),
          across: at.across + place * normal(),
          pixel,
          radius: ring.outer * nearer * (1 + radius * normal()),
          footToward: { tip: 0.1, butt: 0.9 },
        },
      ];
    }),
  );
}
