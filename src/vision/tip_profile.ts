import { type Camera, project } from '../geometry/camera.ts';
import { addScaled, type Pixel, type Vector3 } from '../geometry/vector.ts';
import { median } from '../numerics/robust.ts';
import { type Line, strips } from './tip_strips.ts';

/** The tip end of the blank found in a photo. */
export interface TipPoint {
  pixel: Pixel;
  /** unit, out of the blank along the projected axis */
  normal: Pixel;
  /** mm along the axis from the station looked at to the end; negative beyond the tip */
  offset: number;
  /** standard deviation along the normal, pixels */
  sigma: number;
  /** pixels a millimetre along the axis there */
  perMm: number;
  /** what goes on beyond it and may pass for the blank, its shadow, ends so many pixels farther out along the normal */
  shadow?: number;
}

/**
 * The end `offset` mm along a line in space (from a point of it, unit direction inward), known to `sigma` mm, as a
 * photo shows it; undefined where it does not.
 */
export function tipPointAt(
  camera: Camera,
  { point, along }: { point: Vector3; along: Vector3 },
  { offset, sigma }: { offset: number; sigma: number },
): TipPoint | undefined {
  const place = addScaled(point, along, offset);
  const pixel = project(camera, place);
  const beyond = project(camera, addScaled(place, along, -1));
  if (!pixel || !beyond) return undefined;
  const perMm = Math.hypot(beyond[0] - pixel[0], beyond[1] - pixel[1]);
  const normal: Pixel = [(beyond[0] - pixel[0]) / perMm, (beyond[1] - pixel[1]) / perMm];
  return { pixel, normal, offset, perMm, sigma: sigma * perMm };
}

/** What a profile's end is read by (common practice, no source, where nothing else is said; held to `tip.test.ts`). */
const reading = {
  /** the blank's own contrast is this quantile of what lies inward: marks and specks take contrast away */
  ownContrast: 0.7,
  /**
   * standard deviation of the end's reading: pixels at best; pixels at full contrast, growing as it falls; mm by which
   * the end's own shadow shifts half of a contrast of so many levels, and hardly any of a strong one
   */
  sigma: { least: 0.15, atFull: 0.03, shadow: 0.6, shadowAt: 25 },
  /**
   * from a quarter to three quarters a sharp end's contrast rises over so many pixels; over more where its own shadow
   * or a rounded end shows beyond it: the end is told to this share of what it takes longer, mm at worst
   */
  rise: { sharp: 1.2, share: 0.8, atWorst: 0.8 },
  /**
   * an end cut square shows at one place on either side; a shadow that goes on from it on one side draws that side's
   * out, so the other's counts where they lie farther apart than this, mm or pixels, and is doubted by this share of
   * the distance; but not where that side is as dark to so near its end, mm, as for so many mm before, to this share
   */
  square: { mm: 0.1, pixels: 0.5, clear: 0.25, before: 3, asDark: 0.92 },
  slantDoubt: 0.33,
  /**
   * a pale blank's shadow that goes on from its end in its line is darker than the blank: by this share of the blank's
   * own contrast and so many levels at least, within so many mm of the end, the blank itself within so many more;
   * smoothed over so many mm. The end is then where that begins, doubted by this share of how far it goes on
   */
  darker: { share: 0.6, levels: 12, within: 3.5, blank: 5, smooth: 0.5, doubt: 0.4 },
  /**
   * a dark blank's is lighter: by so many levels and this share of the blank's own contrast at least, and leaves this
   * share of it, for so many mm and pixels; both are even to this share of the step, so far clear of the ends, the
   * blank for so many mm
   */
  lighter: {
    levels: 12,
    share: 0.1,
    left: 0.3,
    least: 0.7,
    leastPixels: 3.5,
    most: 5,
    clear: 0.3,
    blank: 4,
    uneven: 0.5,
    doubt: 0.2,
  },
} as const;

/**
 * The place where the contrast, coming in from beyond, first stays above half of the blank's for a millimetre: a mark
 * near the end is shorter than that from the end. Undefined where the blank's is less than `least`.
 */
export function endOfBlank(contrast: Float64Array, line: Line, least: number): TipPoint | undefined {
  const { at, normal, perMm, inward } = line;
  const inner = contrast
    .slice(0, inward)
    .filter((c) => !Number.isNaN(c))
    .sort();
  const blank = inner[Math.floor(inner.length * reading.ownContrast)]!;
  if (!(blank >= least)) return undefined;
  const place = fallsBelow(contrast, blank / 2, Math.max(4, Math.round(perMm / strips.step)));
  if (place === undefined) return undefined;
  const d = (place - inward) * strips.step;
  const rise = riseAround(contrast, place, blank) * strips.step;
  return {
    pixel: [at[0] + d * normal[0], at[1] + d * normal[1]],
    normal,
    offset: -d / perMm,
    perMm,
    sigma: Math.hypot(
      reading.sigma.least,
      reading.sigma.atFull * (255 / blank),
      reading.sigma.shadow * perMm * (reading.sigma.shadowAt / blank) ** 2,
      Math.min(Math.max(rise - reading.rise.sharp, 0) * reading.rise.share, reading.rise.atWorst * perMm),
    ),
  };
}

/** How many samples of a line so many mm are. */
const samplesOn =
  ({ perMm }: Line) =>
  (mm: number): number =>
    Math.round((mm * perMm) / strips.step);

/** The outermost place, in samples, where a profile falls below a level after `stay` samples above it. */
function fallsBelow(profile: Float64Array, level: number, stay: number): number | undefined {
  for (let i = profile.length - 2; i > stay; i--) {
    const p = profile[i]!;
    const q = profile[i + 1]!;
    if (!(p >= level && q < level)) continue;
    let above = 0;
    for (let k = 0; k < stay; k++) if (profile[i - k]! >= level) above++;
    if (above === stay) return i + (p - level) / (p - q);
  }
  return undefined;
}

/** Samples over which a profile falls from three quarters to a quarter of the blank's contrast, round its end. */
function riseAround(profile: Float64Array, place: number, blank: number): number {
  let inner = Math.floor(place);
  while (inner > 0 && profile[inner]! < 0.75 * blank) inner--;
  let outer = Math.ceil(place);
  while (outer < profile.length - 1 && profile[outer]! > 0.25 * blank) outer++;
  return outer - inner;
}

/**
 * The profile with dark gaps narrower than twice `half` filled from beside them (a running maximum, then a running
 * minimum).
 */
export function bridged(profile: Float64Array, half: number): Float64Array {
  const extreme = (values: Float64Array, pick: (a: number, b: number) => number) =>
    values.map((_, i) => {
      let value = values[i]!;
      for (let k = Math.max(0, i - half); k <= Math.min(values.length - 1, i + half); k++)
        value = pick(value, values[k]!);
      return value;
    });
  return extreme(extreme(profile, Math.max), Math.min);
}

/** One side of a blank by itself: its profile and where that ends. */
export interface Side {
  contrast: Float64Array;
  end: TipPoint;
}

/**
 * The end where the two sides' lie apart: that of the side farther in, for the other's goes on in a shadow; but where
 * the other is as dark to its end as before, the blank ends there, and it is its shadow beside it that begins farther
 * in.
 */
export function squareEnd(tip: TipPoint, [one, other]: readonly (Side | undefined)[], line: Line): TipPoint {
  if (!one || !other) return tip;
  const { square, slantDoubt } = reading;
  const { inward, perMm } = line;
  const slant = Math.abs(one.end.offset - other.end.offset);
  if (slant < Math.max(square.mm, square.pixels / perMm)) return tip;
  const [inner, outer] = one.end.offset > other.end.offset ? [one, other] : [other, one];
  const at = (mm: number) => Math.round(inward - (mm * perMm) / strips.step);
  const last = outer.contrast.slice(at(inner.end.offset), at(outer.end.offset + square.clear));
  const before = outer.contrast.slice(at(inner.end.offset + square.before), at(inner.end.offset));
  const goesOn = last.length > 0 && median(last) > square.asDark * median(before);
  if (goesOn) return drawnBack(tip, Math.min(outer.end.offset - tip.offset, 0), slantDoubt * slant, perMm);
  return drawnBack(tip, Math.max(inner.end.offset - tip.offset, 0), slantDoubt * slant, perMm);
}

/** The end drawn back to where something darker than the blank begins that goes on to it: its shadow, in its line. */
export function beforeDarkerShadow(tip: TipPoint, contrast: Float64Array, line: Line): TipPoint {
  const { darker } = reading;
  const { inward, perMm } = line;
  const samples = samplesOn(line);
  const place = inward - samples(tip.offset);
  const from = place - samples(darker.within);
  const half = Math.max(1, samples(darker.smooth / 2));
  const smooth = (i: number) => median(contrast.slice(i - half, i + half + 1));
  const blank = median(contrast.slice(Math.max(0, from - samples(darker.blank)), Math.max(0, from)));
  let darkest = { i: place, contrast: 0 };
  for (let i = Math.max(half, from); i < place - half; i++)
    if (smooth(i) > darkest.contrast) darkest = { i, contrast: smooth(i) };
  const drop = darkest.contrast - blank;
  if (!(drop > darker.levels && drop > darker.share * blank)) return tip;
  let begins = darkest.i;
  while (begins > from && smooth(begins) > blank + drop / 2) begins--;
  const back = ((place - begins) * strips.step) / perMm;
  return drawnBack(tip, back, darker.doubt * back, perMm);
}

/**
 * The end drawn back to where something lighter than a dark blank begins that goes on from it, as level as the blank is
 * before it: its shadow, in its line. A rounded end is lighter too, but for less than that is long.
 */
export function beforeLighterShadow(tip: TipPoint, contrast: Float64Array, line: Line): TipPoint {
  const { lighter } = reading;
  const { inward, perMm } = line;
  const samples = samplesOn(line);
  const place = inward - samples(tip.offset);
  const [clear, before] = [samples(lighter.clear), samples(lighter.blank)];
  let best: { begins: number; blank: number; step: number } | undefined;
  const least = Math.max(samples(lighter.least), Math.round(lighter.leastPixels / strips.step));
  for (let begins = place - least; begins >= place - samples(lighter.most); begins--) {
    if (begins - before < 0) break;
    const beyond = levelOf(contrast.slice(begins + clear, place - clear));
    const blank = levelOf(contrast.slice(begins - before, begins - clear));
    const step = blank.level - beyond.level;
    const isStep =
      step > lighter.levels && step > lighter.share * blank.level && beyond.level > lighter.left * blank.level;
    if (isStep && Math.max(beyond.spread, blank.spread) < lighter.uneven * step && step > (best?.step ?? 0))
      best = { begins, blank: blank.level, step };
  }
  if (!best) return tip;
  const left = (share: number) => best.blank - share * best.step;
  const begins = contrast.findIndex(
    (c, i) =>
      i > best.begins - before &&
      c >= left(0.5) &&
      contrast[i + 1]! < left(0.5) &&
      contrast[i - clear]! > left(0.25) &&
      contrast[i + clear]! < left(0.75),
  );
  if (begins < 0 || place - begins < least) return tip;
  const back = ((place - begins) * strips.step) / perMm;
  return drawnBack(tip, back, lighter.doubt * back, perMm);
}

/** What a stretch of profile shows on the whole, and how uneven it is: what four fifths of it keep within. */
function levelOf(stretch: Float64Array): { level: number; spread: number } {
  const sorted = stretch.toSorted();
  const at = (share: number) => sorted[Math.round(share * (sorted.length - 1))]!;
  return { level: at(0.5), spread: at(0.9) - at(0.1) };
}

/** An end so much farther in, and so much more doubted, mm. */
const drawnBack = (tip: TipPoint, back: number, doubt: number, perMm: number): TipPoint => ({
  ...tip,
  pixel: [tip.pixel[0] - back * perMm * tip.normal[0], tip.pixel[1] - back * perMm * tip.normal[1]],
  offset: tip.offset + back,
  sigma: Math.hypot(tip.sigma, doubt * perMm),
  shadow: Math.max(back, 0) * perMm,
});
