import { z } from 'zod';
import { readHeader, readWith } from '../plan/files/file_schema.ts';
import type { Report } from './report.ts';

const words = (what: string) => z.string({ error: `must be ${what}, as a text` });
const number = z.number({ error: 'must be a number' });
const notNegative = z.number({ error: 'must be a number' }).min(0, 'must be zero or more');
const measured = z.object({ value: number, expanded: notNegative });
const along = measured.extend({ apart: notNegative.optional() });
const sighting = z.enum(['found', 'not-there', 'not-made-out', 'in-no-photo']);
const decision = z.enum(['on', 'off', 'unsure']);
const probability = z.number({ error: 'must be a number' }).min(0, 'must be 0 to 1').max(1, 'must be 0 to 1');

const item = z
  .object({
    id: words('the name of the place').min(1, 'must not be empty'),
    kind: z.enum(['guide', 'tip-wrap', 'ferrule-wrap', 'hook-keeper']),
    planned: number,
    found: z.boolean({ error: 'must be true or false' }),
    sighting: sighting.optional(),
    bareIn: z.array(words('a file name')).optional(),
    coveredIn: z.array(words('a file name')).optional(),
    along: along.optional(),
    alongVerdict: z.enum(['on', 'off', 'unsure', 'missing']),
    roll: measured.optional(),
    plannedRoll: number.optional(),
    rollVerdict: decision.optional(),
    turnedByJoint: number.optional(),
    height: measured.optional(),
    ringOuter: measured.optional(),
    ringInner: measured.optional(),
    setWrongWay: z.literal(true).optional(),
    guideVerdict: z.enum(['as-planned', 'different', 'unsure']).optional(),
    cause: words('a sentence').optional(),
    advice: words('a sentence').optional(),
    width: measured.optional(),
    colour: words('a colour').optional(),
    mark: z.object({ along: measured, fromRing: number }).optional(),
    uncertainty: z
      .object({ scale: notNegative, geometry: notNegative, reading: notNegative, tip: notNegative })
      .optional(),
    byHand: z.boolean({ error: 'must be true or false' }).optional(),
  })
  .refine((i) => i.found === (i.along !== undefined), {
    path: ['along'],
    message: 'belongs to a found place and to no other; this report was not written by Prewrap or was changed',
  })
  .refine((i) => i.sighting === undefined || i.found === (i.sighting === 'found'), {
    path: ['sighting'],
    message: 'contradicts "found"; choose a report that was not changed by hand',
  });

const pattern = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('shift'), value: number, u: notNegative, probability }),
  z.object({ kind: z.literal('growth'), value: number, u: notNegative, probability }),
  z.object({ kind: z.literal('accumulating'), step: notNegative, probability }),
  z.object({ kind: z.literal('misread'), id: words('a name'), offset: number, length: notNegative, probability }),
  z.object({ kind: z.literal('wrong-end'), probability }),
]);

const report = z
  .object({
    schema: z.literal('prewrap.report/1'),
    unit: z.literal('mm'),
    stage: z.enum(['blank', 'marks', 'rings', 'wrapped']),
    verdict: z.enum(['ready', 'fix', 'reshoot']),
    items: z.array(item),
    extras: z.array(
      z.object({
        kind: z.enum(['mark', 'ring']),
        along: measured,
        doubleOf: words('a name').optional(),
        advice: words('a sentence').optional(),
      }),
    ),
    photos: z.array(
      z.object({
        file: words('a file name'),
        tags: notNegative,
        residual: notNegative,
        problems: z.array(words('a sentence')),
      }),
    ),
    flatWithin: notNegative.optional(),
    halves: z.object({ apart: notNegative, widened: notNegative.optional() }).optional(),
    profiles: z
      .array(
        z.object({
          kind: z.enum(['lens', 'mat']),
          name: words('a name'),
          used: z.boolean({ error: 'must be true or false' }),
        }),
      )
      .optional(),
    scale: z.object({ along: number, across: number, expanded: notNegative, shared: z.literal(true).optional() }),
    notes: z.array(words('a sentence')),
    patterns: z.array(pattern).optional(),
    tipTop: z
      .object({
        sighting,
        roll: measured.optional(),
        rollVerdict: decision,
        turnedByJoint: number.optional(),
        advice: words('a sentence').optional(),
      })
      .optional(),
    slides: z.array(z.object({ afterPhoto: words('a file name'), along: measured })).optional(),
    piece: z.object({ number, of: number }).optional(),
    joints: z
      .array(
        z.object({
          joint: number,
          at: number,
          roll: measured.optional(),
          rollVerdict: decision.optional(),
          rings: z.tuple([notNegative, notNegative]).optional(),
          open: measured.optional(),
        }),
      )
      .optional(),
    nextPhoto: z
      .object({
        over: z.union([z.object({ id: words('the name of a place') }), z.enum(['tip', 'seat-card'])]),
        from: z.enum(['above', 'side', 'tip', 'butt']),
        height: notNegative,
        aim: z.object({ tile: notNegative.int(), u: number }),
        stand: z.object({ along: number, across: notNegative }),
        expects: z.array(
          z.object({
            id: words('the name of a place'),
            on: z.enum(['along', 'roll']),
            before: notNegative,
            after: notNegative,
            settles: z.boolean(),
          }),
        ),
      })
      .optional(),
    blank: z
      .object({
        length: measured.optional(),
        grip: measured.optional(),
        diameters: z.array(z.tuple([number, number, notNegative])),
        bow: z.array(z.tuple([number, number, number])),
        bowExpanded: z.array(z.tuple([notNegative, notNegative])).optional(),
        fittings: z
          .array(
            z.object({
              kind: z.enum(['ferrule', 'winding-check', 'at-grip', 'not-made-out']),
              from: measured,
              to: measured,
              thicker: number,
            }),
          )
          .optional(),
        line: z.object({ from: number, to: number, roll: measured }).optional(),
        turn: number.optional(),
        lies: z.enum(['flat', 'blocks']).optional(),
      })
      .optional(),
  })
  .refine((r) => new Set(r.items.map((i) => i.id)).size === r.items.length, {
    path: ['items'],
    message: 'the same name stands twice; choose a report that was not changed by hand',
  });

/**
 * Reads a prewrap.report/1 file: its text, or its value already parsed; `file` is named in errors. Fields it does not
 * know are left aside. Throws InputError with one sentence when it is not such a report.
 */
export function parseReport(input: unknown, file = 'report.json'): Report {
  return readWith(report, readHeader(input, 'prewrap.report/1', file), file);
}

/** The report as the text of its file. Lengths to 0.1 micrometre: finer digits are noise. */
export function reportToText(value: Report): string {
  const rounded = (_key: string, field: unknown) =>
    typeof field === 'number' && !Number.isInteger(field) ? Number(field.toPrecision(8)) : field;
  return `${JSON.stringify(value, rounded, 1)}\n`;
}
