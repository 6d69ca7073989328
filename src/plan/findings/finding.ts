import { formatLength, type LengthDisplay } from '../lengths/length_text.ts';

/** One thing a check of a plan has found: which items, by how much, and what would cure it, in a person's words. */
export interface Finding {
  rule:
    | 'bag'
    | 'order'
    | 'gap-shrinks'
    | 'overlap'
    | 'near-ferrule'
    | 'on-joint'
    | 'near-joint'
    | 'joint-wear'
    | 'ring-sizes'
    | 'ring-low'
    | 'ring-heights'
    | 'tip-top-tube'
    | 'overload'
    | 'hang-test'
    | 'off-blank'
    | 'line-touches'
    | 'line-strays'
    | 'line-turns-back'
    | 'line-cone'
    | 'crowded'
    | 'behind-grip'
    | 'reversed';
  /** `fault` must be cured before marking; `look` may be meant */
  weight: 'fault' | 'look';
  items: string[];
  /** mm, degrees or a count, as the rule has it */
  by: number;
  text: string;
  cure: string;
}

/** A ring's size: sold by millimetres everywhere. */
export const ringWords = (mm: number): string => formatLength(mm, 'mm');

/** Lengths as findings say them. */
export const lengthWords = (mm: number, display: LengthDisplay): string =>
  formatLength(mm, display, { mmDecimals: 1, inchDecimals: 2, denominator: 32 });
