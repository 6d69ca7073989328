/** Pixels along the longer side of a 12-megapixel phone photo. */
export const usualSide = 4032;

/**
 * How many times the doubt in roll of small rings grows where pictures have `side` pixels along their longer side and a
 * phone's own photos `own`. A ring's rim is read to a share of a pixel, so from one height and lens the doubt goes with
 * the millimetres a pixel takes in. On two walks made 0.7 and 0.5 times as large the stated doubts of roll grew by 1.3
 * to 1.5 and 1.7 to 2.0 times (middle nine tenths of the rings).
 */
export const pixelDoubt = (side: number, own: number): number => Math.max(own / side, 1);

/** The same in words; nothing where it would not be noticed. */
export function pixelDoubtWords(side: number, own: number): 'half-again' | 'twice' | 'three' | 'more' | undefined {
  const times = pixelDoubt(side, own);
  if (times < 1.25) return undefined;
  if (times < 1.75) return 'half-again';
  if (times < 2.5) return 'twice';
  return times < 3.5 ? 'three' : 'more';
}
