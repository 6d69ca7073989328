import type { Colour } from './strip_relief.ts';

export type MarkColour = 'white' | 'silver' | 'black' | 'yellow' | 'orange' | 'red' | 'blue' | 'green' | 'tan';

/**
 * A name for a marker's colour. Luma, Cb, Cr 0..255 (ITU-R BT.601); `paper` = what the white mat shows in the same
 * light, which takes out exposure and white balance; `ground` = the blank beside it: no pale marker darkens it. Hues
 * are angles in the (Cb, Cr) plane, where full red lies at 108, orange at 139, yellow at 170, green at -128 and blue at
 * -9 degrees.
 */
export function nameColour(colour: Colour, ground: Colour, paper: Colour): MarkColour {
  const gain = 235 / Math.max(paper[0], 40);
  const luma = colour[0] * gain;
  const b = (colour[1] - paper[1]) * gain;
  const r = (colour[2] - paper[2]) * gain;
  const chroma = Math.hypot(b, r);
  if (chroma < 13 || (chroma < 20 && luma > 190)) {
    if (colour[0] < ground[0]) return 'black';
    return luma > 165 ? 'white' : luma > 60 ? 'silver' : 'black';
  }
  const hue = (Math.atan2(r, b) * 180) / Math.PI;
  if (hue > -60 && hue <= 60) return luma < 35 && chroma < 25 ? 'black' : 'blue';
  if (hue > 60 && hue <= 128) return 'red';
  if (hue > 128 && hue <= 152) return chroma > 55 ? 'orange' : luma < 90 ? 'red' : 'tan';
  if (hue > 152 || hue < -165)
    return chroma > 45 || (chroma > 25 && luma < 180) ? 'yellow' : luma < 90 ? 'black' : 'tan';
  return luma < 45 && chroma < 25 ? 'black' : 'green';
}
