import { z } from 'zod';
import type { Load } from '../bend/bent_rod.ts';
import { degreesField, lengthField, longestRod, numberField, placeField, present } from '../files/file_schema.ts';
import type { KnownKeys } from '../files/known_keys.ts';
import { gramsPerOunce, gramsPerPound } from '../lengths/force_text.ts';
import { newtonsOfGrams, type Unit } from '../lengths/units.ts';
import type { BendSpec } from './wanted_layout.ts';

/** A force, in newtons or as the grams, ounces or pounds that weigh so much; exactly one of them. */
const forceFields = {
  newtons: numberField('newtons', 0.001, 2000).optional(),
  grams: numberField('grams', 0.1, 200_000).optional(),
  ounces: numberField('ounces', 0.004, 7000).optional(),
  pounds: numberField('pounds', 0.0003, 440).optional(),
};
type Force = { [Unit in keyof typeof forceFields]?: number | undefined };
const newtonsOf = ({ newtons, grams, ounces, pounds }: Force): number =>
  newtons ?? newtonsOfGrams(grams ?? (ounces === undefined ? pounds! * gramsPerPound : ounces * gramsPerOunce));
const oneForce = ({ newtons, grams, ounces, pounds }: Force) =>
  [newtons, grams, ounces, pounds].filter((value) => value !== undefined).length === 1;
const oneForceWords = 'needs its force either as "newtons", "grams", "ounces" or "pounds"';

const rodSchema = (unit: Unit) =>
  z
    .object({
      stations: z
        .array(
          z.object({
            at: placeField(unit),
            diameter: lengthField(unit, 0.3, 100),
            wall: lengthField(unit, 0.05, 50).optional(),
          }),
        )
        .min(2, 'needs two or more places along the blank')
        .refine((all) => all.every((station, k) => k === 0 || station.at > all[k - 1]!.at), 'must run from tip to butt')
        .optional(),
      modulus: numberField('the modulus in GPa,', 0.1, 1000).optional(),
      wall: lengthField(unit, 0.05, 50).optional(),
      hangTest: z
        .object({
          ...forceFields,
          clampAt: placeField(unit),
          drops: z
            .array(z.object({ at: placeField(unit), drop: lengthField(unit, 0, longestRod) }))
            .min(3, 'needs three or more drops'),
        })
        .refine(oneForce, oneForceWords)
        .optional(),
    })
    .refine(
      (rod) => (rod.modulus === undefined) !== (rod.hangTest === undefined),
      'needs either "modulus" or "hangTest"',
    );

const loadSchema = z.object({ ...forceFields, pullAngle: degreesField(10, 175) }).refine(oneForce, oneForceWords);
/** An end of the range of loads: without an angle the working pull's counts. */
const endSchema = z
  .object({ ...forceFields, pullAngle: degreesField(10, 175).optional() })
  .refine(oneForce, oneForceWords);

/**
 * `{"kind":"bend", ...}` of a layout file: `light` and `heavy` are the ends of the range of loads, half and one and a
 * half times `load` when absent; `"gaps":"free"` lets gaps shrink toward the butt.
 */
export function bendSchema(unit: Unit) {
  const place = placeField(unit);
  return z.object({
    kind: z.literal('bend'),
    rod: rodSchema(unit),
    load: loadSchema,
    light: endSchema.optional(),
    heavy: endSchema.optional(),
    side: z.enum(['top', 'underneath']),
    clampAt: place,
    reel: z.object({ at: place, height: lengthField(unit, 0, 300) }),
    tipTop: z.object({ height: lengthField(unit, 0, 100), ringInner: lengthField(unit, 0.5, 100) }).optional(),
    first: place.optional(),
    last: place.optional(),
    shares: z.array(numberField('a share', 0.01, 100)).optional(),
    gaps: z.enum(['grow', 'free']).optional(),
  });
}

const force = { newtons: true, grams: true, ounces: true, pounds: true } as const;
export const bendKeys: KnownKeys = {
  kind: true,
  rod: {
    stations: [{ at: true, diameter: true, wall: true }],
    modulus: true,
    wall: true,
    hangTest: { ...force, clampAt: true, drops: [{ at: true, drop: true }] },
  },
  load: { ...force, pullAngle: true },
  light: { ...force, pullAngle: true },
  heavy: { ...force, pullAngle: true },
  side: true,
  clampAt: true,
  reel: { at: true, height: true },
  tipTop: { height: true, ringInner: true },
  first: true,
  last: true,
  shares: true,
  gaps: true,
};

/** The bend asked for; forces in newtons. */
export function bendFrom(layout: z.infer<ReturnType<typeof bendSchema>>): BendSpec {
  const { rod, load, light, heavy, ...rest } = layout;
  const end = (one: z.infer<typeof endSchema>): Load => ({
    tension: newtonsOf(one),
    pullAngle: one.pullAngle ?? load.pullAngle,
  });
  const stations = rod.stations && { stations: rod.stations.map(present) };
  return {
    ...present(rest),
    load: { tension: newtonsOf(load), pullAngle: load.pullAngle },
    ...(light && { light: end(light) }),
    ...(heavy && { heavy: end(heavy) }),
    rod: rod.hangTest
      ? {
          ...stations,
          hangTest: { weight: newtonsOf(rod.hangTest), clampAt: rod.hangTest.clampAt, drops: rod.hangTest.drops },
        }
      : { ...stations, modulus: rod.modulus!, ...(rod.wall !== undefined && { wall: rod.wall }) },
  } as BendSpec;
}
