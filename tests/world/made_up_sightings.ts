import { axisPoint, type BlankAxis, blankRadius } from '../../src/geometry/blank_axis.ts';
import { cameraCentre, project } from '../../src/geometry/camera.ts';
import type { Ring } from '../../src/geometry/ring.ts';
import { norm, subtract } from '../../src/geometry/vector.ts';
import {
  type ClassGrid,
  type ClassName,
  classNames,
  type RingSighting,
  type StripSeen,
} from '../../src/vision/finder/sighting.ts';
import { stripPlace } from '../../src/vision/finder/strip_place.ts';
import { type View, visibleStretch } from '../../src/vision/strip.ts';
import { seededNormal } from './seeded_random.ts';

/**
 * What a finder would see of rings at known places, with its own scatter: `along`, `across` in mm, the radius as a
 * share.
 */
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

/**
 * What a finder would see of each photo: these sightings, and a class map of blank on paper with `things` painted into
 * it.
 */
export function seenBy(
  views: readonly View[],
  axis: BlankAxis,
  sightings: readonly RingSighting[],
  things: readonly { view?: number; name: ClassName; along: number; across: number; half: number }[] = [],
): StripSeen[] {
  const length = axis.from + axis.step * (axis.points.length - 1);
  return views.flatMap((view, index): StripSeen[] => {
    const covers = visibleStretch(view, axis, { from: 0, to: length });
    if (!covers) return [];
    const middle = axisPoint(axis, (covers.from + covers.to) / 2);
    const pixelsPerMm = view.camera.intrinsics.focal / norm(subtract(middle, cameraCentre(view.camera)));
    const classes = blankOnPaper(axis, covers);
    for (const { view: only, name, along, across, half } of things)
      if (only === undefined || only === index) paint(classes, name, { along, across, half });
    return [{ view: index, covers, pixelsPerMm, sightings: sightings.filter((s) => s.view === index), classes }];
  });
}

/** A class map, a millimetre a cell, of a blank on paper. */
export function blankOnPaper(axis: BlankAxis, { from, to }: { from: number; to: number }): ClassGrid {
  const [rows, columns] = [67, Math.floor(to - from) + 1];
  const classes = new Uint8Array(rows * columns).fill(classNames.indexOf('paper'));
  const grid = { from, across: -33, step: 1, rows, columns, classes, certainty: classes.map(() => 240) };
  for (let c = 0; c < columns; c++) {
    const half = Math.round(blankRadius(axis, from + c));
    for (let across = -half; across <= half; across++)
      classes[(across + 33) * columns + c] = classNames.indexOf('blank');
  }
  return grid;
}

/** Paints a square thing into a class map. */
export function paint(
  { from, across: first, step, rows, columns, classes }: ClassGrid,
  name: ClassName,
  { along, across, half }: { along: number; across: number; half: number },
): void {
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const near = Math.abs(from + c * step - along) <= half && Math.abs(first + r * step - across) <= half;
      if (near) classes[r * columns + c] = classNames.indexOf(name);
    }
  }
}
