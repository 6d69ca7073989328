import { type Camera, cameraCentre, project } from '../geometry/camera.ts';
import { addScaled, cross, dot, type Pixel, subtract, unit, type Vector3 } from '../geometry/vector.ts';
import { isInPhoto, withinCentres } from '../geometry/in_photo.ts';
import { median } from '../numerics/robust.ts';
import type { PerPhoto, Photo, PhotoIndex } from '../photo/photo.ts';
import type { AxisStation } from './outline.ts';
import {
  beforeDarkerShadow,
  beforeLighterShadow,
  bridged,
  endOfBlank,
  type Side,
  squareEnd,
  type TipPoint,
} from './tip_profile.ts';
import { type Line, sidesAlong, type Strip, strips, stripsAlong } from './tip_strips.ts';

/** The tip end as one photo shows it. */
export interface SeenTip {
  photo: PhotoIndex;
  point: TipPoint;
}

/** What the blank's end is told by (common practice, no source, where nothing else is said; held to `tip.test.ts`). */
const end = {
  /** mm to either side of the end where paper is held against paper: as light as this share, shadows allowed for */
  apart: 1.5,
  samePaper: 0.75,
  /**
   * a check bar or another thin line may cross the lane right at the tip: lines up to twice this wide, mm, don't make
   * the ground dark
   */
  printedLine: 0.6,
  /** one that takes this share of the blank's contrast touches the end: standard deviation of an end under it, mm */
  lineTakes: 0.4,
  lineAtEnd: 0.25,
  /** one side of a pale blank's end may be as light as the paper: sides are asked where so many levels tell it */
  squareFrom: 80,
  /** a cream blank in dim light is this much darker than paper, grey levels; the paper's own unevenness is a few */
  leastContrast: 15,
  /**
   * least colour of a blank, levels of Cb and Cr together; the colour's end goes before the darkness's where they lie
   * farther apart than this, mm; pixels of its reading: colour is kept at half size
   */
  colour: { least: 12, apart: 1.3, sigma: 1 },
  /**
   * white bleeds over a blank's end as over a printed square's edge where it is as dark: contrast as a share of the
   * ground's level; and how well what the squares tell holds for the end, as a share
   */
  asDark: 0.8,
  bleedHolds: 0.3,
} as const;

/**
 * The point of the end disc's rim that bounds the blank in the photo, from the axis's end: up where the camera stands
 * on the butt's side of the disc, down where it looks at the disc's face.
 */
export function tipRimDirection(disc: { point: Vector3; along: Vector3 }, centre: Vector3): Vector3 {
  const view = subtract(centre, disc.point);
  const acrossView = unit(cross(disc.along, view));
  const up = unit(cross(acrossView, disc.along));
  const towardCamera = dot(up, view) > 0 ? up : (addScaled([0, 0, 0], up, -1) as Vector3);
  return dot(disc.along, view) > 0 ? towardCamera : (addScaled([0, 0, 0], towardCamera, -1) as Vector3);
}

/** Where to look for a blank's end, and what is known of the photo. */
export interface TipSearch {
  /** mm to both sides along the axis */
  reach: number;
  /** how far white bleeds over a printed square's edge in this photo, mm */
  bleed: number;
}

/**
 * The end of the blank near `station`, looked for `reach` mm to both sides along the axis. What is followed is how much
 * darker the middle of the blank is than the ground beside it: that falls to nothing at the end whether paper, page
 * edge or bench lies beyond.
 */
export function findTip(
  photo: Photo,
  camera: Camera,
  station: AxisStation,
  { reach, bleed }: TipSearch,
): TipPoint | undefined {
  const centre = cameraCentre(camera);
  const rim = tipRimDirection(station, centre);
  const base = addScaled(station.point, rim, station.radius);
  const across = unit(cross(station.along, subtract(station.point, centre)));
  const at = project(camera, base);
  const out = project(camera, addScaled(base, station.along, -1));
  // Far outside its picture a lens model may tell anything, a millimetre of thousands of pixels among it.
  if (!at || !out || !isInPhoto(photo, at, withinCentres(0))) return undefined;
  const perMm = Math.hypot(out[0] - at[0], out[1] - at[1]);
  const normal: Pixel = [(out[0] - at[0]) / perMm, (out[1] - at[1]) / perMm];
  const n = Math.ceil((reach * perMm) / strips.step);
  // Twice as far inward: where the station stands beyond the end by the whole reach, as much of the blank is still in
  // it.
  const line: Line = { at, normal, perMm, inward: 2 * n, count: 3 * n + 1 };
  const beside = (w: number) => project(camera, addScaled(base, across, w));
  const [middle, left, right] = stripsAlong(photo, line, station.radius, beside);
  if (!middle || !left || !right) return undefined;
  // On both sides: a shadow lies on one of them.
  const lit = middle.luma.map((_, i) => Math.max(left.luma[i]!, right.luma[i]!));
  const ground = bridged(lit, Math.round((end.printedLine * perMm) / strips.step));
  const contrast = middle.luma.map((m, i) => ground[i]! - m);
  if (contrast.slice(n, line.inward).some(Number.isNaN)) return undefined;
  const dark = endOfBlank(contrast, line, end.leastContrast);
  const either = eitherEnd(dark, endByColour([middle, left, right], line));
  const sides = () =>
    sidesAlong(photo, line, station.radius, beside).map((side) => {
      const own = side && ground.map((lit, i) => lit - side.luma[i]!);
      const ends = own && endOfBlank(own, line, end.leastContrast);
      return ends && { contrast: own, end: ends };
    });
  const isDark = median(contrast.slice(n, line.inward)) > end.squareFrom;
  const tip = either === dark && dark ? beforeShadow(dark, contrast, line, isDark ? sides : undefined) : either;
  return tip && heldToGround(tip, line, { lit, ground, contrast }, bleed);
}

/**
 * An end where paper lies on both sides of it, as far beyond where it seems as white bleeds over it, doubted where a
 * line touches it; undefined else.
 */
function heldToGround(
  tip: TipPoint,
  { inward, perMm }: Line,
  { lit, ground, contrast }: Record<'lit' | 'ground' | 'contrast', Float64Array>,
  bleed: number,
): TipPoint | undefined {
  // Where the paper gives way to a dark bench the contrast falls too, and the blank goes on: no end can be told there.
  const place = Math.round(inward - (tip.offset * perMm) / strips.step);
  const apart = Math.round((end.apart * perMm) / strips.step);
  const [inside, beyond] = [ground[place - apart], ground[place + apart]];
  if (inside === undefined || beyond === undefined || beyond <= end.samePaper * inside) return undefined;
  // A dark line that touches the end cannot be told from the blank: the end is then anywhere across it.
  const near = Math.round((end.printedLine * perMm) / strips.step);
  const touching = lit
    .slice(place - near, place + near + 1)
    .some((g) => g < inside - end.lineTakes * contrast[place - apart]!);
  const dark = Math.min(contrast[place - apart]! / inside / end.asDark, 1);
  const whole = unbled(tip, bleed * Math.max(dark, 0), perMm);
  return touching ? { ...whole, sigma: Math.hypot(whole.sigma, end.lineAtEnd * perMm) } : whole;
}

/** The end of the blank's colour: its shadow has none of it. Undefined where the blank has hardly any either. */
function endByColour([middle, left, right]: readonly Strip[], line: Line): TipPoint | undefined {
  const from = (plane: 'blue' | 'red', i: number) => middle![plane][i]! - (left![plane][i]! + right![plane][i]!) / 2;
  const colour = middle!.blue.map((_, i) => Math.hypot(from('blue', i), from('red', i)));
  const tip = endOfBlank(colour, line, end.colour.least);
  return tip && { ...tip, sigma: Math.max(tip.sigma, end.colour.sigma) };
}

/** Darkness places an end best; where it goes on beyond the colour, it is the shadow's. */
const eitherEnd = (dark: TipPoint | undefined, coloured: TipPoint | undefined): TipPoint | undefined =>
  dark && coloured && Math.abs(dark.offset - coloured.offset) < end.colour.apart ? dark : (coloured ?? dark);

/** The end where it is: as far beyond where it seems as white bleeds over it, mm. */
const unbled = (tip: TipPoint, bleed: number, perMm: number): TipPoint => ({
  ...tip,
  pixel: [tip.pixel[0] + bleed * perMm * tip.normal[0], tip.pixel[1] + bleed * perMm * tip.normal[1]],
  offset: tip.offset - bleed,
  sigma: Math.hypot(tip.sigma, end.bleedHolds * bleed * perMm),
});

/**
 * The end without the shadow that goes on from it: in its line, lighter than a dark blank or darker than a pale one, or
 * on one side of a dark one, whose two ends `sides` tells.
 */
function beforeShadow(
  tip: TipPoint,
  contrast: Float64Array,
  line: Line,
  sides: (() => (Side | undefined)[]) | undefined,
): TipPoint {
  if (!sides) return beforeDarkerShadow(tip, contrast, line);
  const before = beforeLighterShadow(tip, contrast, line);
  return before === tip ? beforeDarkerShadow(squareEnd(tip, sides(), line), contrast, line) : before;
}

/** The end of the blank in each photo that shows it, looked for as `findTip` does. */
export const findTips = (
  photos: PerPhoto<Photo>,
  cameras: PerPhoto<Camera | undefined>,
  station: AxisStation,
  search: PerPhoto<TipSearch>,
): SeenTip[] =>
  photos.flatMap((photo, i) => {
    const camera = cameras[i];
    const point = camera && findTip(photo, camera, station, search[i]!);
    return point ? [{ photo: i, point }] : [];
  });
