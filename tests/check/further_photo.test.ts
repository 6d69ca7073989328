import { describe, expect, test } from 'vitest';
import { furtherPhotoFor } from '../../src/check/further_photo.ts';
import { ringPlace } from '../../src/check/place_doubt.ts';
import { ringCentre } from '../../src/check/places.ts';
import type { RollZero } from '../../src/check/roll_zero.ts';
import type { OpenVerdict } from '../../src/verdict/measured_shoot.ts';
import { measuring, ringAt } from '../world/measured_rod.ts';

const zero: RollZero = { reference: 'guides', notes: [] };
const places = [250, 400].map((along) => ringPlace(ringCentre(ringAt(along, 5, 16, 0.15)), zero, measuring));
const ask = furtherPhotoFor(places, zero, measuring);
const open = (place: number, on: OpenVerdict['on']): OpenVerdict => {
  const u = on === 'along' ? places[place]!.apart! : places[place]!.roll!.u;
  return { place, on, u, needed: u / 2 } as OpenVerdict;
};

describe('the photo that would settle most', () => {
  test('is asked for over what is open, and leaves less doubt of it', () => {
    const wanted = ask([open(1, 'along')])!;
    expect(wanted.expected).toHaveLength(1);
    expect(wanted.expected[0]).toBeGreaterThan(0);
    expect(wanted.expected[0]).toBeLessThan(0.9 * open(1, 'along').u);
    expect([300, 450, 600]).toContain(wanted.height);
    expect([0, 1, 2]).toContain(wanted.aim.tile);
    expect(wanted.stand.across).toBeGreaterThanOrEqual(0);
  });

  test('never promises more doubt than there is, of roll either', () => {
    const asked = [open(0, 'along'), open(0, 'roll'), open(1, 'roll')];
    for (const [i, expected] of (ask(asked)?.expected ?? []).entries())
      expect(expected).toBeLessThanOrEqual(asked[i]!.u + 1e-12);
  });

  test('promises no more of a roll that is surer counted from the rings’ own line than by itself', () => {
    const alone = open(1, 'roll');
    const inLine = { ...alone, u: 0.8 * alone.u };
    const [byItself, counted] = [ask([alone])?.expected[0] ?? alone.u, ask([inLine])?.expected[0] ?? inLine.u];
    expect(counted / inLine.u).toBeGreaterThan(0.99 * (byItself / alone.u));
  });

  test('is none where nothing is open, or nothing is known of how the open place was read', () => {
    expect(ask([])).toBeUndefined();
    const { reading: _, ...unread } = places[0]!;
    expect(furtherPhotoFor([unread], zero, measuring)([{ ...open(0, 'along') }])).toBeUndefined();
  });
});
