/** By how much a tape is misread when a whole division is skipped or the hook end is cut at a round figure. */
export interface MisreadStep {
  /** mm */
  length: number;
  /** as said in a sentence: "by half an inch" */
  name: string;
}

/** Common practice, no source; the inch is exactly 25.4 mm. */
export const misreadSteps: readonly MisreadStep[] = [
  { length: 10, name: 'one centimetre' },
  { length: 12.7, name: 'half an inch' },
  { length: 25.4, name: 'one inch' },
  { length: 100, name: 'ten centimetres' },
];

/**
 * The whole division that an offset amounts to, or nothing.
 *
 * @param offset found minus planned, mm, either sign
 * @param doubt how far from the division it may be, mm
 */
export function misreadOf(offset: number, doubt: number): MisreadStep | undefined {
  let nearest: MisreadStep | undefined;
  for (const step of misreadSteps) {
    const distance = Math.abs(Math.abs(offset) - step.length);
    if (distance <= doubt && (!nearest || distance < Math.abs(Math.abs(offset) - nearest.length))) nearest = step;
  }
  return nearest;
}
