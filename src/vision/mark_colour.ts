import type { Colour } from './strip_relief.ts';

export type MarkColour = 'white' | 'silver' | 'black' | 'yellow' | 'orange' | 'red' | 'blue' | 'green' | 'tan';

/**
 * Where one name for a colour ends and the next begins (named by eye on photos of markers, no source; a wrong name
 * costs a wrong word in the report, and for tan a mark taken for tape). Luma and chroma as levels on paper of luma
 * `white`.
 */
const naming = {
  white: 235,
  /** darker paper than this is not made lighter than that */
  darkestPaper: 40,
  /** no colour: less chroma than this, or than the second where it is as light as that */
  grey: { chroma: 13, lightChroma: 20, light: 190 },
  /** greys: white above the first, silver above the second */
  whiteFrom: 165,
  silverFrom: 60,
  /** hues, degrees: blue from the first to the second, then red, orange and tan, yellow to the last; green beyond */
  hue: { blueFrom: -60, red: 60, orange: 128, yellow: 152, green: -165 },
  /** a blue or a green this dark and this grey is a black */
  blackBlue: { luma: 35, chroma: 25 },
  blackGreen: { luma: 45, chroma: 25 },
  /** orange from this chroma on; below it red where this dark, else tan */
  orange: { chroma: 55, redBelow: 90 },
  /**
   * yellow from the first chroma on, or the second where no lighter than this; below them black where this dark, else
   * tan
   */
  yellow: { chroma: 45, leastChroma: 25, light: 180, blackBelow: 90 },
} as const;

/**
 * A name for a marker's colour. Luma, Cb, Cr 0..255 (ITU-R BT.601); `paper` = what the white mat shows in the same
 * light, which takes out exposure and white balance; `ground` = the blank beside it: no pale marker darkens it. Hues
 * are angles in the (Cb, Cr) plane, where full red lies at 108, orange at 139, yellow at 170, green at -128 and blue at
 * -9 degrees.
 */
export function nameColour(colour: Colour, ground: Colour, paper: Colour): MarkColour {
  const { grey, hue: at, blackBlue, blackGreen, orange, yellow } = naming;
  const gain = naming.white / Math.max(paper[0], naming.darkestPaper);
  const luma = colour[0] * gain;
  const b = (colour[1] - paper[1]) * gain;
  const r = (colour[2] - paper[2]) * gain;
  const chroma = Math.hypot(b, r);
  if (chroma < grey.chroma || (chroma < grey.lightChroma && luma > grey.light)) {
    if (colour[0] < ground[0]) return 'black';
    return luma > naming.whiteFrom ? 'white' : luma > naming.silverFrom ? 'silver' : 'black';
  }
  const hue = (Math.atan2(r, b) * 180) / Math.PI;
  if (hue > at.blueFrom && hue <= at.red) return luma < blackBlue.luma && chroma < blackBlue.chroma ? 'black' : 'blue';
  if (hue > at.red && hue <= at.orange) return 'red';
  if (hue > at.orange && hue <= at.yellow)
    return chroma > orange.chroma ? 'orange' : luma < orange.redBelow ? 'red' : 'tan';
  if (hue > at.yellow || hue < at.green) {
    const isYellow = chroma > yellow.chroma || (chroma > yellow.leastChroma && luma < yellow.light);
    return isYellow ? 'yellow' : luma < yellow.blackBelow ? 'black' : 'tan';
  }
  return luma < blackGreen.luma && chroma < blackGreen.chroma ? 'black' : 'green';
}
