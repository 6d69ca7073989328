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

/** What is asked: where the rod balances with the reel at a place, or where the reel must go for a balance point. */
export interface BalanceSpec {
  parts: readonly Weight[];
  reel: { grams: number; at?: number };
  /** how far before the reel the rod is to hang level, mm */
  ahead?: number;
}

/** The answers to what was asked, mm from the tip. Throws InputError as the two below. */
export function answerBalance({ parts, reel, ahead }: BalanceSpec): { point?: number; seat?: number } {
  const { at } = reel;
  return {
    ...(at !== undefined && { point: balancePoint({ parts, reel: { grams: reel.grams, at } }) }),
    ...(ahead !== undefined && { seat: seatForBalance({ parts, reel }, ahead) }),
  };
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
export function seatForBalance({ parts, reel }: Pick<BalanceSpec, 'parts' | 'reel'>, ahead: number): number {
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
