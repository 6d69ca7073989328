import { type KnownKeys, refuseUnknownKeys } from '../files/known_keys.ts';
import { z } from 'zod';
import { bendFrom, bendKeys, bendSchema } from './bend_file.ts';
import { balanceFrom, balanceKeys, balanceSchema } from './balance_file.ts';
import { guidesOfSet, guideSetChoice, setKeys, usualFrom, usualKeys, usualSchema } from './usual_file.ts';
import {
  byUnit,
  degreesField,
  lengthField,
  nameField,
  numberField,
  placeField,
  present,
  readHeader,
  readUnit,
  readWith,
} from '../files/file_schema.ts';
import { usualWraps } from '../foot.ts';
import { guideFromFile, guideSchema } from '../files/guide_file.ts';
import type { LayoutSpec } from './wanted_layout.ts';
import { defaultTolerance } from '../plan.ts';
import { planFields } from '../files/plan_file.ts';
import { tapeDivisions } from '../lengths/tape_reading.ts';
import type { Unit } from '../lengths/units.ts';

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
        ratio: numberField('a factor', 0.1, 10).optional(),
      }),
      bendSchema(unit),
      usualSchema(unit),
    ],
    { error: 'must be an object whose "kind" is "entered", "growth", "bend" or "usual"' },
  );
};

const count = numberField('a count', 0, 1000);

const bagSchema = (unit: Unit) =>
  z.array(
    z.union(
      [
        z.object({ ringOuter: lengthField(unit, 1, 150), count }),
        z.object({ snakeLength: lengthField(unit, 3, 100), count }),
      ],
      { error: 'must be "ringOuter" or "snakeLength", and "count"' },
    ),
  );

const wrapsSchema = (unit: Unit) =>
  z.object({
    threadDiameter: lengthField(unit, 0.02, 2).optional(),
    beyondFoot: lengthField(unit, 0, 50).optional(),
    keeperLength: lengthField(unit, 1, 100).optional(),
    underwrap: lengthField(unit, 0, 50).optional(),
    trimBand: lengthField(unit, 0.1, 50).optional(),
    trimGap: lengthField(unit, 0, 50).optional(),
  });

const spoolSchema = (unit: Unit) =>
  z.object({
    seatAt: placeField(unit),
    lipForward: lengthField(unit, -300, 300),
    spoolDiameter: lengthField(unit, 10, 200),
    lipToBlank: lengthField(unit, 0, 200),
    choke: nameField("a guide's name"),
    axisTilt: degreesField(0, 20).optional(),
  });

const specSchema = (unit: Unit, guidesAreSet: boolean) => {
  const place = placeField(unit);
  return z.object({
    ...planFields(unit),
    guides: guidesAreSet
      ? guideSetChoice
      : z
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
        onTop: numberField('a count', 0, 100).optional(),
        transition: z.union([numberField('a count', 0, 100), z.array(degreesField(0, 180)).max(100)], {
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
    bag: bagSchema(unit).optional(),
    wraps: wrapsSchema(unit).optional(),
    spool: spoolSchema(unit).optional(),
    balance: balanceSchema(unit).optional(),
    material: z.enum(['carbon', 'glass', 'other']).optional(),
  });
};

/** With guides of a named set, and with guides described one by one. */
const setSpecSchema = byUnit((unit) => specSchema(unit, true));
const listSpecSchema = byUnit((unit) => specSchema(unit, false));

const stretch = { from: true, to: true } as const;
const layoutKeys: Record<string, KnownKeys> = {
  entered: { kind: true, at: true, text: true, comma: true, from: true, numbers: true },
  growth: { kind: true, growth: true, start: true, firstGap: true, last: true, step: true, ratio: true },
  bend: bendKeys,
  usual: usualKeys,
};

const isSet = (guides: unknown): boolean => typeof guides === 'object' && guides !== null && 'set' in guides;

/** Every name a layout file may have; the kind of layout decides the names below it. */
function knownKeys({ layout, guides }: Record<string, unknown>): KnownKeys {
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
    joints: [{ kind: true, at: true, length: true, gap: true, play: true, inner: true }],
    fittings: [{ kind: true, ...stretch }],
    guides: isSet(guides) ? setKeys : [Object.fromEntries([...ring, ...snake].map((name) => [name, true as const]))],
    others: [{ id: true, kind: true, at: true }],
    layout: layoutKeys[kind] ?? true,
    spiral: { toward: true, onTop: true, transition: true },
    division: true,
    datum: { ferrule: true },
    bag: [{ ringOuter: true, snakeLength: true, count: true }],
    wraps: {
      threadDiameter: true,
      beyondFoot: true,
      keeperLength: true,
      underwrap: true,
      trimBand: true,
      trimGap: true,
    },
    spool: { seatAt: true, lipForward: true, spoolDiameter: true, lipToBlank: true, choke: true, axisTilt: true },
    balance: balanceKeys,
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
 * "clampAt","reel":{"at","height"},"tipTop"?,"first"?,"last"?,"shares"?,"gaps"?:"grow"|"free","light"?,"heavy"?}`
 * (forces as in `load`), `{"kind":"usual","rod":"spinning"|"casting"|"fly","reelAt"?,"guidesPerFoot"?,"guidesMore"?,
 * "firstGap"?,"lastShare"?}`. `guides` may name a whole set, `{"set": name, "count"?}`. `spiral`, where guides walk
 * round the blank: `{"toward":"clockwise"|"anticlockwise","onTop"?,"transition": count | [degrees]}`. Lengths in the
 * file's unit, as in a plan. Throws InputError.
 */
export function parseLayout(input: unknown, file = 'layout.json'): LayoutSpec {
  const value = readHeader(input, 'prewrap.layout/1', file);
  const unit = readUnit(value, file);
  refuseUnknownKeys(value, knownKeys(value), file);
  const schema = isSet(value.guides) ? setSpecSchema : listSpecSchema;
  const spec = readWith(schema(unit), value, file);
  const { title, blank, tolerance, markedBy, section, fittings, joints, datum } = spec;
  const plan = {
    title,
    unit,
    blank,
    tolerance: tolerance ?? { ...defaultTolerance },
    ...(markedBy && { markedBy }),
    ...(section && { section: present(section) }),
    ...(fittings && { fittings }),
    ...(joints && { joints: joints.map(present) }),
  };
  const layout = layoutFrom(spec.layout);
  const guides =
    'set' in spec.guides
      ? guidesOfSet(spec.guides, layout, plan, file)
      : { guides: spec.guides.map(({ id, ...guide }) => ({ ...(id && { id }), guide: guideFromFile(guide) })) };
  return {
    plan,
    ...guides,
    others: spec.others ?? [],
    layout,
    ...(spec.spiral && { spiral: present(spec.spiral) }),
    ...(spec.division && { division: spec.division as NonNullable<LayoutSpec['division']> }),
    ...(datum && {
      datum: typeof datum === 'string' ? { from: datum } : { from: 'ferrule' as const, at: datum.ferrule },
    }),
    ...(spec.bag && { bag: spec.bag }),
    ...(spec.wraps && { wraps: { ...usualWraps, ...present(spec.wraps) } }),
    ...(spec.spool && { spool: present(spec.spool) }),
    ...(spec.balance && { balance: balanceFrom(spec.balance) }),
    ...(spec.material && { material: spec.material }),
  };
}

function layoutFrom(layout: z.infer<ReturnType<typeof layoutSchema>>): LayoutSpec['layout'] {
  if (layout.kind === 'entered') {
    const { at, text = '', comma, from, numbers } = layout;
    return at ? { kind: 'entered', at } : { kind: 'entered', text, choices: present({ comma, from, numbers }) };
  }
  if (layout.kind === 'growth') return present(layout) as LayoutSpec['layout'];
  if (layout.kind === 'usual') return usualFrom(layout);
  return bendFrom(layout);
}
