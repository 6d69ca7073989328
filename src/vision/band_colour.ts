import { normalQuantile } from '../numerics/normal_distribution.ts';
import { median, robustSigma } from '../numerics/robust.ts';
import type { Strip } from './strip.ts';
import type { Colour, StripRelief } from './strip_relief.ts';

/** The median colour of a block of the strip: columns from `from` to `to`, every `stride`th, the given rows. */
function blockColour(strip: Strip, rows: readonly number[], from: number, to: number, stride = 1): Colour {
  const pick = (channel: Float32Array): number => {
    const values: number[] = [];
    for (const k of rows) for (let c = from; c <= to; c += stride) values.push(channel[k * strip.columns + c]!);
    return median(values);
  };
  return [pick(strip.luma), pick(strip.blueDifference), pick(strip.redDifference)];
}

/** What is read off the strip round a band, mm. */
const reading = {
  /** the ground beside it: from here to twice as far from its edge; nearer, its blur still shows */
  beside: 1.2,
  /** the blank at large: to both sides, one column in so many */
  atLarge: 60,
  stride: 1,
  /** rows within this share of the width show its colour without the shade toward the outlines */
  middle: 0.7,
  /** the blank's own unevenness is told from one column in so many: closer ones repeat each other */
  textureStride: 5,
} as const;

/** A band's own colour, that of the blank next to it on both sides, and of the blank at large. */
export interface BandColours {
  colour: Colour;
  ground: Colour;
  typical: Colour;
  /** how much the ground next to the band differs from the blank at large, against the band's contrast: 0 = clean */
  clutter: number;
}

/**
 * The colours of a band whose edges lie at the arc lengths `tip` and `butt` (mm), `inset` columns inside them, on the
 * rows that carry it; `peak` = the column where it stands out most.
 */
export function bandColours(
  strip: Strip,
  { first, end }: StripRelief,
  rowsOn: readonly number[],
  edges: { tip: number; butt: number },
  { peak, inset }: { peak: number; inset: number },
): BandColours {
  const beside = Math.round(reading.beside / strip.step);
  const tip = Math.round((edges.tip - strip.from) / strip.step);
  const butt = Math.round((edges.butt - strip.from) / strip.step);
  const middle = rowsOn.filter((k) => Math.abs(strip.across[k]!) < reading.middle);
  const rows = middle.length > 0 ? middle : rowsOn;
  const near = blockColour(strip, rows, Math.max(tip - 2 * beside, first), Math.max(tip - beside, first));
  const far = blockColour(strip, rows, Math.min(butt + beside, end - 1), Math.min(butt + 2 * beside, end - 1));
  const colour = blockColour(strip, rows, Math.max(tip + inset, 0), Math.max(butt - inset, tip + inset));
  const reach = Math.round(reading.atLarge / strip.step);
  const stride = Math.max(Math.round(reading.stride / strip.step), 1);
  const typical = blockColour(strip, rows, Math.max(peak - reach, first), Math.min(peak + reach, end - 1), stride);
  const contrastTo = (c: Colour): number => Math.hypot(c[0] - typical[0], c[1] - typical[1], c[2] - typical[2]);
  return {
    colour,
    ground: [(near[0] + far[0]) / 2, (near[1] + far[1]) / 2, (near[2] + far[2]) / 2],
    typical,
    clutter: Math.max(contrastTo(near), contrastTo(far)) / Math.max(contrastTo(colour), 1),
  };
}

/** The blank's own unevenness in the colour that tells the band, as the profile along the whole strip shows it. */
export function textureSigma(relief: StripRelief, direction: Colour): number {
  const [y, b, r] = relief.profile;
  const values: number[] = [];
  for (let c = relief.first; c < relief.end; c += reading.textureStride) {
    values.push(direction[0] * y[c]! + direction[1] * b[c]! + direction[2] * r[c]!);
  }
  return robustSigma(values, 0);
}

/** sRGB to linear (IEC 61966-2-1). */
const linear = (level: number): number => {
  const v = Math.min(Math.max(level / 255, 0), 1);
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
};

/** Two levels of linear light closer than this have no half-way to speak of. */
const leastLight = 0.005;

/**
 * How far half-way between two encoded levels lies outside the brighter side's true edge: lenses blur light, cameras
 * then encode it. Positive for a band brighter than its ground (it looks too wide), negative for a darker one.
 */
export function gammaShift(band: number, ground: number, blur: number): number {
  const low = linear(Math.min(band, ground));
  const high = linear(Math.max(band, ground));
  if (high - low < leastLight) return 0;
  const shift = -blur * normalQuantile((linear((band + ground) / 2) - low) / (high - low));
  return band > ground ? shift : -shift;
}
