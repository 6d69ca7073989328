import fc from 'fast-check';
import { expect, test } from 'vitest';
import { hashOf, placeOf, steps } from '../../src/app/route/place.ts';

test('a place comes back from its hash', () => {
  const place = fc.record(
    {
      screen: fc.constant('build' as const),
      id: fc.string({ minLength: 1 }),
      step: fc.constantFrom(...steps),
      item: fc.string({ minLength: 1 }),
    },
    { requiredKeys: ['screen', 'id', 'step'] },
  );
  fc.assert(
    fc.property(place, (there) => {
      expect(placeOf(hashOf(there))).toEqual(there);
    }),
  );
  expect(placeOf(hashOf({ screen: 'builds' }))).toEqual({ screen: 'builds' });
});

test('a hash that names nothing known leads to the builds, an unknown step to the plan', () => {
  for (const hash of ['', '#', '#/', '#/elsewhere', '#/build', '#/build/'])
    expect(placeOf(hash)).toEqual({ screen: 'builds' });
  expect(placeOf('#/build/a1/later')).toEqual({ screen: 'build', id: 'a1', step: 'plan' });
  expect(placeOf('#/build/%E0%A4%A/check')).toEqual({ screen: 'build', id: '%E0%A4%A', step: 'check' });
});
