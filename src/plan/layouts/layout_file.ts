import { type KnownKeys, refuseUnknownKeys } from '../files/known_keys.ts';
import { z } from 'zod';
import {
  degreesField,
  lengthField,
  longestRod,
  nameField,
  present,
  readHeader,
  readWith,
} from '../files/file_schema.ts';
import { usualWraps } from '../foot.ts';
import { guideFromFile, guideSchema } from '../files/guide_file.ts';
import type { LayoutSpec } from './layout_spec.ts';
import { defaultTolerance } from '../plan.ts';
import { planFields } from '../files/plan_file.ts';
import { tapeDivisions } from '../lengths/tape_reading.ts';
import { gramsPerOunce, gramsPerPound } from '../lengths/force_text.ts';
import { newtonsOfGrams, type Unit } from '../lengths/units.ts';

const number = (what: string, least: number, most: number) => {
  const words = `must be ${what} from ${least} to ${most}`;
  return z.number({ error: words }).min(least, words).max(most, words);
};

/** A force, in newtons or as the grams, ounces or pounds that weigh so much; exactly one of them. */
const forceFields = {
  newtons: number('newtons', 0.001, 2000).optional(),
  grams: number('grams', 0.1, 200_000).optional(),
  ounces: number('ounces', 0.004, 7000).optional(),
  pounds: number('pounds', 0.0003, 440).optional(),
};
type Force = { [Unit in keyof typeof forceFields]?: number | undefined };
const newtonsOf = ({ newtons, grams, ounces, pounds }: Force): number =>
  newtons ?? newtonsOfGrams(grams ?? (ounces === undefined ? pounds! * gramsPerPound : ounces * gramsPerOunce));
const oneForce = ({ newtons, grams, ounces, pounds }: Force) =>
  [newtons, grams, ounces, pounds].filter((value) => value !== undefined).length === 1;
const oneForceWords = 'needs its force either as "newtons", "grams", "ounces" or "pounds"';

const placeField = (unit: Unit) => lengthField(unit, 0, longestRod);

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
      modulus: number('the modulus in GPa,', 0.1, 1000).optional(),
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

const layoutSchema = (unit: Unit) => {
  const place = placeField(unit);
  return z.discriminatedUnion(
    'kind',
    [
      z
        .object({
          kind: z.literal('entered'),
          at: z.array(place).optional(),
          text: z.string().max(100_000, 'is longer than any list of guides; choose another text').optional(),
          comma: z.enum(['decimal', 'separator']).optional(),
          from: z.enum(['tip', 'butt']).optional(),
          numbers: z.enum(['distances', 'gaps']).optional(),
        })
        .refine(
          (entered) => (entered.at === undefined) !== (entered.text === undefined),
          'needs either "at" or "text"',
        ),
      z.object({
        kind: z.literal('growth'),
        growth: z.enum(['arithmetic', 'geometric']),
        start: place.optional(),
        firstGap: place.optional(),
        last: place.optional(),
        step: lengthField(unit, -1000, 1000).optional(),
        ratio: number('a factor', 0.1, 10).optional(),
      }),
      z.object({
        kind: z.literal('bend'),
        rod: rodSchema(unit),
        load: z.object({ ...forceFields, pullAngle: degreesField(10, 175) }).refine(oneForce, oneForceWords),
        side: z.enum(['top', 'underneath']),
        clampAt: place,
        reel: z.object({ at: place, height: lengthField(unit, 0, 300) }),
        tipTop: z.object({ height: lengthField(unit, 0, 100), ringInner: lengthField(unit, 0.5, 100) }).optional(),
        first: place.optional(),
        last: place.optional(),
        shares: z.array(number('a share', 0.01, 100)).optional(),
      }),
    ],
    { error: 'must be an object whose "kind" is "entered", "growth" or "bend"' },
  );
};

const specSchema = (unit: Unit) => {
  const place = placeField(unit);
  return z.object({
    ...planFields(unit),
    guides: z
      .array(z.intersection(z.object({ id: nameField('a name of your own').optional() }), guideSchema(unit)))
      .min(1, 'has no guides; describe at least one ring')
      .max(100, 'has more than 100 guides; choose another file'),
    others: z
      .array(
        z.object({
          id: nameField('a name of your own'),
          kind: z.enum(['tip-wrap', 'ferrule-wrap', 'hook-keeper']),
          at: place,
        }),
      )
      .optional(),
    layout: layoutSchema(unit),
    spiral: z
      .object({
        toward: z.enum(['clockwise', 'anticlockwise']),
        onTop: number('a count', 0, 100).optional(),
        transition: z.union([number('a count', 0, 100), z.array(degreesField(0, 180)).max(100)], {
          error: 'must be a count of guides, or a list of their angles in degrees',
        }),
      })
      .optional(),
    division: z.enum(tapeDivisions as [string, ...string[]]).optional(),
    datum: z
      .union([z.enum(['tip', 'butt']), z.object({ ferrule: place })], {
        error: 'must be "tip", "butt" or {"ferrule": its distance from the tip}',
      })
      .optional(),
    bag: z.array(z.object({ ringOuter: lengthField(unit, 1, 150), count: number('a count', 0, 1000) })).optional(),
    wraps: z
      .object({
        threadDiameter: lengthField(unit, 0.02, 2).optional(),
        beyondFoot: lengthField(unit, 0, 50).optional(),
        keeperLength: lengthField(unit, 1, 100).optional(),
      })
      .optional(),
    spool: z
      .object({
        seatAt: place,
        lipForward: lengthField(unit, -300, 300),
        spoolDiameter: lengthField(unit, 10, 200),
        lipToBlank: lengthField(unit, 0, 200),
        choke: nameField("a guide's name"),
      })
      .optional(),
    material: z.enum(['carbon', 'glass', 'other']).optional(),
  });
};

const stretch = { from: true, to: true } as const;
const force = { newtons: true, grams: true, ounces: true, pounds: true } as const;
const layoutKeys: Record<string, KnownKeys> = {
  entered: { kind: true, at: true, text: true, comma: true, from: true, numbers: true },
  growth: { kind: true, growth: true, start: true, firstGap: true, last: true, step: true, ratio: true },
  bend: {
    kind: true,
    rod: {
      stations: [{ at: true, diameter: true, wall: true }],
      modulus: true,
      wall: true,
      hangTest: { ...force, clampAt: true, drops: [{ at: true, drop: true }] },
    },
    load: { ...force, pullAngle: true },
    side: true,
    clampAt: true,
    reel: { at: true, height: true },
    tipTop: { height: true, ringInner: true },
    first: true,
    last: true,
    shares: true,
  },
};

/** Every name a layout file may have; the kind of layout decides the names below it. */
function knownKeys({ layout }: Record<string, unknown>): KnownKeys {
  const kind = typeof layout === 'object' && layout !== null && 'kind' in layout ? String(layout.kind) : '';
  const ring = ['ringOuter', 'ringInner', 'height', 'lean', 'foot', 'footLength', 'reach', 'footToward', 'roll'];
  const snake = ['id', 'type', 'length', 'wire'];
  return {
    schema: true,
    title: true,
    unit: true,
    blank: { length: true, tipDiameter: true, buttDiameter: true, finish: true },
    tolerance: { along: true, roll: true },
    markedBy: true,
    section: { startsAt: true, piece: true, of: true },
    joints: [{ kind: true, at: true, length: true, gap: true, inner: true }],
    fittings: [{ kind: true, ...stretch }],
    guides: [Object.fromEntries([...ring, ...snake].map((name) => [name, true as const]))],
    others: [{ id: true, kind: true, at: true }],
    layout: layoutKeys[kind] ?? true,
    spiral: { toward: true, onTop: true, transition: true },
    division: true,
    datum: { ferrule: true },
    bag: [{ ringOuter: true, count: true }],
    wraps: { threadDiameter: true, beyondFoot: true, keeperLength: true },
    spool: { seatAt: true, lipForward: true, spoolDiameter: true, lipToBlank: true, choke: true },
    material: true,
  };
}

/**
 * Reads a prewrap.layout/1 file, text or value: a plan but for the guides' positions (`title`, `unit`, `blank`,
 * `tolerance`, `markedBy`, `section`, `fittings`, `joints` as in a plan), `guides` from tip to butt, `others`, and
 * `layout`, one of `{"kind":"entered","at":[..]|"text":"..","comma"?,"from"?,"numbers"?}` (answers for a text that can
 * be read in two ways),
 * `{"kind":"growth","growth":"arithmetic"|"geometric","start"?,"firstGap"?,"last"?,"step"|"ratio"?}`,
 * `{"kind":"bend","rod":{"stations"?,"modulus","wall"?|"hangTest":{"grams"|"newtons"|"ounces"|"pounds","clampAt",
 * "drops":[{"at","drop"}]}},"load":{"newtons"|"grams"|"ounces"|"pounds","pullAngle"},"side":"top"|"underneath",
 * "clampAt","reel":{"at","height"},"tipTop"?,"first"?,"last"?,"shares"?}`. `spiral`, where guides walk round the blank:
 * `{"toward":"clockwise"|"anticlockwise","onTop"?,"transition": count | [degrees]}`. Lengths in the file's unit, as in
 * a plan. Throws InputError.
 */
export function parseLayout(input: unknown, file = 'layout.json'): LayoutSpec {
  const value = readHeader(input, 'prewrap.layout/1', file);
  const { unit } = readWith(z.object({ unit: z.enum(['mm', 'in']) }), value, file);
  refuseUnknownKeys(value, knownKeys(value), file);
  const spec = readWith(specSchema(unit), value, file);
  const { title, blank, tolerance, markedBy, section, fittings, joints, layout, datum } = spec;
  return {
    plan: {
      title,
      unit,
      blank,
      tolerance: tolerance ?? { ...defaultTolerance },
      ...(markedBy && { markedBy }),
      ...(section && { section: present(section) }),
      ...(fittings && { fittings }),
      ...(joints && { joints: joints.map(present) }),
    },
    guides: spec.guides.map(({ id, ...guide }) => ({ ...(id && { id }), guide: guideFromFile(guide) })),
    others: spec.others ?? [],
    layout: layoutFrom(layout),
    ...(spec.spiral && { spiral: present(spec.spiral) }),
    ...(spec.division && { division: spec.division as NonNullable<LayoutSpec['division']> }),
    ...(datum && {
      datum: typeof datum === 'string' ? { from: datum } : { from: 'ferrule' as const, at: datum.ferrule },
    }),
    ...(spec.bag && { bag: spec.bag }),
    ...(spec.wraps && { wraps: { ...usualWraps, ...present(spec.wraps) } }),
    ...(spec.spool && { spool: spec.spool }),
    ...(spec.material && { material: spec.material }),
  };
}

function layoutFrom(layout: z.infer<ReturnType<typeof layoutSchema>>): LayoutSpec['layout'] {
  if (layout.kind === 'entered') {
    const { at, text = '', comma, from, numbers } = layout;
    return at ? { kind: 'entered', at } : { kind: 'entered', text, choices: present({ comma, from, numbers }) };
  }
  if (layout.kind === 'growth') return present(layout) as LayoutSpec['layout'];
  const { rod, load, ...rest } = layout;
  const stations = rod.stations && { stations: rod.stations.map(present) };
  return {
    ...present(rest),
    load: { tension: newtonsOf(load), pullAngle: load.pullAngle },
    rod: rod.hangTest
      ? {
          ...stations,
          hangTest: { weight: newtonsOf(rod.hangTest), clampAt: rod.hangTest.clampAt, drops: rod.hangTest.drops },
        }
      : { ...stations, modulus: rod.modulus!, ...(rod.wall !== undefined && { wall: rod.wall }) },
  } as LayoutSpec['layout'];
}
