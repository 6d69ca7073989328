import { type Camera, project } from '../geometry/camera.ts';
import { median } from '../numerics/robust.ts';
import type { PerPhoto, Photo } from '../photo/photo.ts';
import type { Blank } from '../plan/plan.ts';
import { type ClassName, classNames } from './finder/sighting.ts';
import { lanePoint } from './lane.ts';
import type { LaneLook } from './lane_look.ts';
import { sampleGrey } from './sampling.ts';

/**
 * When a blank shows plainly dark or plainly light, whatever the plan calls it (held to drawn blanks of all colours, no
 * source). Honey-coloured ones lie between: they are no lighter than a soft shadow, and are called light.
 */
const plain = {
  /** a dark one keeps at most this share of the paper's light, a light one at least this, */
  dark: 0.42,
  light: 0.6,
  /** and it differs from its shadow by so much of the paper's */
  fromShadow: 0.1,
  /** cells are asked from this certainty on, 0 to 1, in every third column; so many of each kind tell, */
  certain: 0.7,
  columns: 3,
  cells: 60,
  /** in so many photos at most */
  photos: 4,
} as const;

const asked = ['blank', 'shadow', 'paper'] as const satisfies readonly ClassName[];
const askedAt = new Map(asked.map((name) => [classNames.indexOf(name), name]));

/**
 * Whether the blank shows dark or light beside its shadow and the paper, where the finder tells the three apart;
 * undefined where that is not plain. Builders call the same brown blank dark or light.
 */
export function finishSeen(
  photos: PerPhoto<Photo>,
  cameras: PerPhoto<Camera | undefined>,
  look: LaneLook,
): Blank['finish'] | undefined {
  const lumas = { blank: [] as number[], shadow: [] as number[], paper: [] as number[] };
  const placed = cameras.flatMap((camera, i) => (camera && look.seen[i] ? [{ photo: photos[i]!, camera, i }] : []));
  const every = Math.ceil(placed.length / plain.photos);
  for (const { photo, camera, i } of placed.filter((_, k) => k % every === 0)) {
    const { from, across, step, rows, columns, classes, certainty } = look.seen[i]!.classes;
    for (let row = 0; row < rows; row++)
      for (let column = row % plain.columns; column < columns; column += plain.columns) {
        const cell = row * columns + column;
        const name = askedAt.get(classes[cell]!);
        if (!name || certainty[cell]! < 255 * plain.certain) continue;
        const pixel = project(camera, lanePoint(look.lane, from + column * step, across + row * step, 0));
        const luma = pixel ? sampleGrey(photo, pixel[0], pixel[1]) : Number.NaN;
        if (Number.isFinite(luma)) lumas[name].push(luma);
      }
  }
  if (asked.some((name) => lumas[name].length < plain.cells)) return undefined;
  const paper = median(lumas.paper);
  const [blank, shadow] = [median(lumas.blank) / paper, median(lumas.shadow) / paper];
  if (blank < plain.dark && blank < shadow - plain.fromShadow) return 'dark';
  if (blank > plain.light && blank > shadow + plain.fromShadow) return 'light';
  return undefined;
}
