import fc from 'fast-check';
import { expect, test } from 'vitest';
import * as z from 'zod';
import * as mini from 'zod/mini';
import { InputError } from '../../src/plan/input_error.ts';
import { reason } from '../../src/plan/reason.ts';
import { faultOf, foreign, schemaWords } from '../fuzz/echoes.ts';

test('an input’s fault is told in its own words', () => {
  expect(reason(new InputError('plan.json has no plan: choose another file.'))).toBe(
    'plan.json has no plan: choose another file.',
  );
});

test('any other is told on one line of 80 characters at most, whatever was thrown', () => {
  expect(reason(new Error('the disk is full'))).toBe('the disk is full');
  expect(reason('stopped')).toBe('stopped');
  expect(faultOf(reason(new Error(foreign(500))))).toBeUndefined();
  fc.assert(
    fc.property(
      fc.string({ unit: fc.constantFrom('a', ' ', '\n', '\u2028', '\u0000', '🎣'), maxLength: 300 }),
      (said) => {
        for (const told of [reason(new Error(said)), reason(said)]) {
          expect(told.length).toBeLessThanOrEqual(80);
          expect(told).not.toMatch(/[\p{Cc}\u2028\u2029]/u);
        }
      },
    ),
  );
});

test('a schema’s own words are not told', () => {
  for (const schema of [z.object({ a: z.string() }), mini.object({ a: mini.string() })]) {
    const { error } = schema.safeParse({ a: 1 });
    expect(String(error?.message)).toMatch(/expected/);
    expect(reason(error)).not.toMatch(schemaWords);
    expect(reason(error)).toBe('something in it is not as it should be');
  }
});
