import { z } from 'zod';
import type { BalanceSpec } from '../bench/balance.ts';
import { lengthField, nameField, numberField, placeField, present } from '../files/file_schema.ts';
import type { KnownKeys } from '../files/known_keys.ts';
import type { Unit } from '../lengths/units.ts';

const grams = numberField('grams', 0.1, 5000);

/**
 * `"balance": {"parts":[{"name","grams","at"}],"reel":{"grams","at"?},"ahead"?}`: what weighs and where, and how far
 * before the reel the rod is to hang level.
 */
export function balanceSchema(unit: Unit) {
  return z
    .object({
      parts: z
        .array(z.object({ name: nameField('what it is'), grams, at: placeField(unit) }))
        .min(1, 'needs at least the bare blank, its weight and where it balances'),
      reel: z.object({ grams, at: placeField(unit).optional() }),
      ahead: lengthField(unit, -500, 1000).optional(),
    })
    .refine(
      ({ reel, ahead }) => reel.at !== undefined || ahead !== undefined,
      'needs the reel’s place "at", or "ahead" to find one',
    );
}
export const balanceKeys: KnownKeys = {
  parts: [{ name: true, grams: true, at: true }],
  reel: { grams: true, at: true },
  ahead: true,
};

export function balanceFrom({ parts, reel, ahead }: z.infer<ReturnType<typeof balanceSchema>>): BalanceSpec {
  return { parts, reel: present(reel), ...(ahead !== undefined && { ahead }) };
}
