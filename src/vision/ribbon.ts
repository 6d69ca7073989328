import type { Stretch } from '../plan/stretch.ts';
import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { cameraCentre, distort } from '../geometry/camera.ts';
import { addScaled, dot, norm, subtract, transform } from '../geometry/vector.ts';
import { blueOf, greenOf, noColour, redOf } from '../photo/luma.ts';
import type { Picture } from '../photo/photo.ts';
import { median } from '../numerics/robust.ts';
import { samplePhoto } from './sampling.ts';
import { type View, visibleStretch, type PerView } from './strip.ts';

export interface RibbonOptions {
  /** arc lengths to show, mm */
  range: Stretch;
  /** mm to each side of the axis; 18 unless given */
  halfWidth?: number;
  pixelsPerMm?: number;
  /** arc lengths of things that should not be cut by a seam, mm */
  items?: readonly number[];
}

/**
 * A straightened picture, tip at the left: column x shows arc length from + x / pixelsPerMm; the axis is the middle
 * row, with what lies to the right as seen from the butt above it, as it looks from over the bench.
 */
export interface RibbonPicture {
  picture: Picture;
  from: number;
  pixelsPerMm: number;
}

/** How the photos are laid together: what looks right, no measurement hangs on it (common practice, no source). */
const laid = {
  /** mm over which one photo gives way to the next */
  fade: 8,
  /** mm kept free of seams to each side of an item: a guide with its foot */
  clear: 22,
  /** mm between the places where the best photo is chosen */
  grid: 2,
  /** a photo is kept to while it is this good beside the best, and near an item while it is this good */
  keep: 0.85,
  keepAtItem: 0.3,
  /** a photo that looks from beside or below counts as if its sight rose by this sine */
  leastOverhead: 0.05,
  /** mm aside and along of the places where two photos' light is held against each other */
  aside: [-16, -12, 12, 16],
  along: [-6, -3, 0, 3, 6],
  /** light that differs more than so many times says nothing; a photo's own is changed by no more than this */
  farApart: 2,
  gain: { least: 0.7, most: 1.4 },
  /** mm to each side and pixels a mm, unless asked otherwise */
  halfWidth: 18,
  pixelsPerMm: 4,
  /** pixels of photo round what is shown */
  margin: 4,
} as const;

/**
 * How well a view shows the place s: pixels per mm, less where it looks from the side or along, and falling to nothing
 * at the end of what it shows, where the next photo must have taken over.
 */
function merit(view: View, axis: BlankAxis, stretch: Stretch, s: number): number {
  const section = crossSection(axis, s);
  const sight = subtract(cameraCentre(view.camera), section.point);
  const distance = norm(sight);
  const overhead = Math.max(dot(sight, section.up) / distance, laid.leastOverhead);
  const inside = Math.min(s - stretch.from, stretch.to - s);
  return (view.camera.intrinsics.focal / distance) * overhead ** 3 * Math.min(Math.max(inside, 0) / (3 * laid.fade), 1);
}

/** Which view shows each grid place best, without changing over for a gain too small to see. */
function bestViews(
  views: PerView<View>,
  axis: BlankAxis,
  stretches: readonly (Stretch | undefined)[],
  options: RibbonOptions,
): number[] {
  const { range, items = [] } = options;
  const count = Math.max(Math.ceil((range.to - range.from) / laid.grid) + 1, 1);
  let current = -1;
  return Array.from({ length: count }, (_, i) => {
    const s = Math.min(range.from + i * laid.grid, range.to);
    const merits = views.map((view, v) => {
      const stretch = stretches[v];
      return stretch === undefined || s < stretch.from || s > stretch.to ? -1 : merit(view, axis, stretch, s);
    });
    const top = Math.max(...merits);
    if (top < 0) return -1;
    const keep = (merits[current] ?? -1) >= laid.keepAtItem * top;
    if (keep && items.some((item) => Math.abs(item - s) < laid.clear)) return current;
    if (current < 0 || merits[current]! < laid.keep * top) current = merits.indexOf(top);
    return current;
  });
}

/**
 * Light of each photo's lane against the first's: luma gains that make neighbours match, chained over shared places.
 */
function gains(views: PerView<View>, axis: BlankAxis, chosen: readonly number[], range: Stretch): number[] {
  const lightAt = (view: View, s: number): number => {
    const lumas: number[] = [];
    for (const ds of laid.along) {
      const section = crossSection(axis, s + ds);
      for (const side of laid.aside) {
        const pixel = pixelOf(view, addScaled(section.point, section.right, side));
        const luma = samplePhoto(view.photo, pixel[0], pixel[1])[0];
        if (Number.isFinite(luma)) lumas.push(luma);
      }
    }
    return median(lumas);
  };
  const gain = views.map(() => 1);
  for (let i = 1; i < chosen.length; i++) {
    const a = chosen[i - 1]!;
    const b = chosen[i]!;
    if (a < 0 || b < 0 || a === b) continue;
    const s = range.from + i * laid.grid;
    const ratio = lightAt(views[a]!, s) / lightAt(views[b]!, s);
    if (ratio > 1 / laid.farApart && ratio < laid.farApart)
      gain[b] = Math.min(Math.max(gain[a]! * ratio, laid.gain.least), laid.gain.most);
  }
  return gain;
}

function pixelOf(view: View, point: readonly [number, number, number]): readonly [number, number] {
  const { matrix, pose, intrinsics } = view.camera;
  const c = transform(matrix, point);
  const z = c[2] + pose.translation[2];
  return distort(intrinsics, (c[0] + pose.translation[0]) / z, (c[1] + pose.translation[1]) / z);
}

/**
 * The rod and what lies beside it, straightened into one picture: the plane through the axis, level across, resampled
 * from the photo that sees each place best, with soft seams and matched light. Places that no photo shows are
 * transparent.
 */
export function drawRibbon(views: PerView<View>, axis: BlankAxis, options: RibbonOptions): RibbonPicture {
  const { range } = options;
  const pixelsPerMm = options.pixelsPerMm ?? laid.pixelsPerMm;
  const half = Math.round((options.halfWidth ?? laid.halfWidth) * pixelsPerMm);
  const width = Math.max(Math.round((range.to - range.from) * pixelsPerMm), 1);
  const height = 2 * half + 1;
  const rgba = new Uint8ClampedArray(width * height * 4);
  const stretches = views.map((view) => visibleStretch(view, axis, range, laid.margin));
  const chosen = bestViews(views, axis, stretches, options);
  const gain = gains(views, axis, chosen, range);
  for (let x = 0; x < width; x++) {
    const s = range.from + x / pixelsPerMm;
    const place = Math.min(Math.round((s - range.from) / laid.grid), chosen.length - 1);
    // Share of each photo here: how much of the fade's window it was chosen for.
    const reach = Math.round(laid.fade / (2 * laid.grid));
    const shares = new Map<number, number>();
    for (let d = -reach; d <= reach; d++) {
      const at = (s - range.from) / laid.grid + d;
      const v = chosen[Math.min(Math.max(Math.round(at), 0), chosen.length - 1)]!;
      const stretch = v < 0 ? undefined : stretches[v];
      if (stretch !== undefined && s >= stretch.from && s <= stretch.to) shares.set(v, (shares.get(v) ?? 0) + 1);
    }
    const here = chosen[place]!;
    if (here >= 0 && shares.size === 0) shares.set(here, 1);
    const section = crossSection(axis, s);
    for (let y = 0; y < height; y++) {
      const point = addScaled(section.point, section.right, (half - y) / pixelsPerMm);
      let luma = 0;
      let blue = 0;
      let red = 0;
      let weight = 0;
      for (const [v, share] of shares) {
        const pixel = pixelOf(views[v]!, point);
        const colour = samplePhoto(views[v]!.photo, pixel[0], pixel[1]);
        if (!colour.every(Number.isFinite)) continue;
        luma += share * colour[0] * gain[v]!;
        blue += share * (colour[1] - noColour) * gain[v]!;
        red += share * (colour[2] - noColour) * gain[v]!;
        weight += share;
      }
      if (weight === 0) continue;
      const i = (y * width + x) * 4;
      rgba[i] = redOf(luma, red) / weight;
      rgba[i + 1] = greenOf(luma, blue, red) / weight;
      rgba[i + 2] = blueOf(luma, blue) / weight;
      rgba[i + 3] = 255;
    }
  }
  return { picture: { width, height, rgba }, from: range.from, pixelsPerMm };
}
