import { InputError } from '../input_error.ts';

/** Something on the rod that weighs: grams, and where its own weight hangs, mm from the tip. */
export interface Weight {
  name: string;
  grams: number;
  at: number;
}

/** A rod and its reel to be balanced; mm from the tip, grams. */
export interface BalanceCase {
  /** blank, grip, guides and all else that stays where it is */
  parts: readonly Weight[];
  /** reel and seat, which go together */
  reel: { grams: number; at: number };
}

/** Where a rod with these on it hangs level: the mean of places, each by its weight. Throws InputError for none. */
export function balancePoint({ parts, reel }: BalanceCase): number {
  const { grams, moment } = summed(parts);
  if (!(grams + reel.grams > 0)) throw new InputError('Nothing on the rod has a weight; give at least the blank’s.');
  return (moment + reel.grams * reel.at) / (grams + reel.grams);
}

/**
 * Where the reel, with its seat, must go so that the rod hangs level `ahead` mm before the reel's place (toward the
 * tip). With M the weight of all and S the moment of what stays, (S + m p) / M = p - ahead gives p. Throws InputError
 * where nothing but the reel weighs.
 */
export function seatForBalance({ parts, reel }: BalanceCase, ahead: number): number {
  const { grams, moment } = summed(parts);
  if (!(grams > 0)) throw new InputError('Give the weight of the bare blank and where it balances; the rest follows.');
  return (moment + (grams + reel.grams) * ahead) / grams;
}

function summed(parts: readonly Weight[]): { grams: number; moment: number } {
  return parts.reduce((sum, { grams, at }) => ({ grams: sum.grams + grams, moment: sum.moment + grams * at }), {
    grams: 0,
    moment: 0,
  });
}
