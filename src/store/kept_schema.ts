import * as z from 'zod/mini';
import type { NamedGuide } from '../plan/files/guide_set.ts';
import { longestRod } from '../plan/files/longest_rod.ts';
import type { Plan } from '../plan/plan.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { Build, KeptCheck, KeptPhoto } from './build.ts';

/** No length, count or pixel of a build is larger. */
const largest = 1e9;
const number = z.number().check(z.gte(-largest), z.lte(largest));
/** No place on a rod lies farther off, mm: a drawing of it has no end else. */
const length = z.number().check(z.gte(-2 * longestRod), z.lte(2 * longestRod));
const text = z.string().check(z.maxLength(100_000));
const name = z.string().check(z.minLength(1), z.maxLength(1000));
export const momentSchema = z.string().check(z.refine((moment) => !Number.isNaN(Date.parse(moment))));

/** Plain values and files, no number out of bounds or missing, nothing nested without end. */
function isSound(value: unknown, depth = 0): boolean {
  if (typeof value === 'number') return Math.abs(value) <= largest;
  if (typeof value !== 'object') return value !== null;
  if (value === null || depth > 20) return false;
  if (value instanceof Blob) return true;
  const parts = Array.isArray(value) ? value : Object.values(value);
  return parts.every((part) => isSound(part, depth + 1));
}
const sound = z.refine<object>((value) => isSound(value));

const guide = z.looseObject({
  ringOuter: z.optional(number),
  ringInner: z.optional(number),
  height: z.optional(number),
  lean: z.optional(number),
  foot: z.optional(z.enum(['single', 'double'])),
});
const positionKind = z.enum(['guide', 'tip-wrap', 'ferrule-wrap', 'hook-keeper']);

/** A plan as it is being written: in millimetres, not yet whole; only its form is held to. */
export const planSchema = z.pipe(
  z
    .looseObject({
      title: text,
      unit: z.enum(['mm', 'in']),
      blank: z.looseObject({
        length,
        tipDiameter: length,
        buttDiameter: length,
        finish: z.enum(['dark', 'light']),
      }),
      positions: z
        .array(z.looseObject({ id: text, kind: positionKind, at: length, guide: z.optional(guide) }))
        .check(z.maxLength(1000)),
      tolerance: z.looseObject({ along: number, roll: number }),
      markedBy: z.optional(z.enum(['centre', 'tip-edge', 'butt-edge'])),
      section: z.optional(z.looseObject({ startsAt: length })),
      fittings: z.optional(z.array(z.looseObject({ kind: text, from: length, to: length }))),
      joints: z.optional(
        z
          .array(
            z.looseObject({
              kind: z.enum(['spigot', 'sleeve']),
              at: length,
              length,
              gap: z.optional(length),
              play: z.optional(length),
              inner: z.optional(z.enum(['tip', 'butt'])),
            }),
          )
          .check(z.maxLength(4)),
      ),
    })
    .check(sound),
  z.transform((plan) => plan as unknown as Plan),
);

/** of a shoot: what its photos show */
const stage = z.enum(['blank', 'marks', 'rings', 'wrapped']);

/** What was measured on the mat. */
export const matReadingsSchema = z.looseObject({
  rowAlong: z.optional(number),
  rowAcross: z.optional(number),
  barAlong: z.optional(number),
  barAcross: z.optional(number),
  span: z.optional(
    z.looseObject({ fromTag: number, toTag: number, length: number, again: z.optional(z.array(number)) }),
  ),
});

const readings = {
  stage,
  mat: matReadingsSchema,
  rest: z.discriminatedUnion('kind', [
    z.looseObject({ kind: z.literal('flat'), gripDiameter: z.optional(number) }),
    z.looseObject({ kind: z.literal('blocks'), axisHeight: number }),
  ]),
  rollReference: z.enum(['seat-card', 'spine-line', 'guides']),
  rollAngle: z.optional(number),
  turn: z.optional(number),
  piece: z.optional(z.int().check(z.gte(1), z.lte(5))),
  byHand: z.optional(z.array(z.looseObject({ id: text, photo: name, points: z.array(z.tuple([number, number])) }))),
};

/** A shoot's readings while it has no photo. */
export const readingsSchema = z.pipe(
  z.looseObject(readings).check(sound),
  z.transform((shoot) => shoot as unknown as Omit<Shoot, 'photos'>),
);

export const writtenSchema = z.record(z.string(), z.object({ text, value: z.optional(number) }));
export const printedSchema = z.object({
  paper: z.optional(z.enum(['A4', 'Letter'])),
  tiles: z.optional(z.int().check(z.gte(1), z.lte(58))),
});
export const threadSchema = z.string().check(z.regex(/^#[0-9a-f]{6}$/i));
export const lengthsSchema = z.enum(['mm', 'in', 'in-fraction']);

const buildSchema = z.looseObject({
  schema: z.literal('prewrap.build/1'),
  id: name,
  revision: z.int(),
  createdAt: momentSchema,
  changedAt: momentSchema,
  sample: z.boolean(),
  document: z.looseObject({
    plan: planSchema,
    thread: threadSchema,
    lengths: lengthsSchema,
    printed: z.optional(printedSchema),
    written: z.optional(writtenSchema),
    keptMat: z.optional(name),
    shoot: z
      .looseObject({
        ...readings,
        id: name,
        photos: z.array(z.looseObject({ id: name, name, bytes: number, addedAt: momentSchema })),
      })
      .check(sound),
  }),
});

const blob = z.instanceof(Blob);
const side = z.int().check(z.gte(1), z.lte(100_000));
const sides = { width: side, height: side };
const picture = z.looseObject({ ...sides, image: blob });
const lines = z.array(z.array(z.tuple([number, number])));

/** A check's pictures and what is drawn over them; `shown` is how a picture itself is kept. */
export const evidenceOf = <T extends z.ZodMiniType>(shown: T) =>
  z
    .looseObject({
      photos: z.array(
        z.looseObject({
          file: text,
          ...sides,
          tags: z.array(z.looseObject({ id: number, corners: z.array(z.tuple([number, number])) })),
          axis: z.array(z.tuple([number, number])),
          outlines: lines,
          rings: z.array(z.looseObject({ id: text, rims: lines })),
          marks: z.array(z.looseObject({ id: text, edges: lines })),
          covers: z.optional(z.looseObject({ from: length, to: length })),
        }),
      ),
      rings: z.array(
        z.looseObject({
          id: text,
          along: length,
          right: length,
          up: length,
          ringOuter: length,
          blankRadius: length,
          roll: number,
        }),
      ),
      closeUps: z.array(
        z.looseObject({ id: text, file: text, picture: shown, rims: lines, sought: z.optional(z.literal(true)) }),
      ),
      ribbon: z.optional(
        z.looseObject({ from: length, pixelsPerMm: z.number().check(z.gte(0.01), z.lte(1000)), picture: shown }),
      ),
    })
    .check(sound);

/** A picture as a file beside the drawings. */
export const pictureFileSchema = z.object({ ...sides, file: text });
const measured = z.looseObject({ value: number, expanded: number });
const decision = z.enum(['on', 'off', 'unsure']);

const reportSchema = z.looseObject({
  stage,
  verdict: z.enum(['ready', 'fix', 'reshoot']),
  items: z.array(
    z.looseObject({
      id: text,
      kind: positionKind,
      planned: number,
      found: z.boolean(),
      along: z.optional(measured),
      alongVerdict: z.enum(['on', 'off', 'unsure', 'missing']),
      roll: z.optional(measured),
      rollVerdict: z.optional(decision),
    }),
  ),
  extras: z.array(z.looseObject({ kind: z.enum(['mark', 'ring']), along: measured })),
  photos: z.array(z.looseObject({ file: text, tags: number, residual: number, problems: z.array(text) })),
  scale: z.looseObject({ along: number, across: number, expanded: number }),
  notes: z.array(text),
  blank: z.optional(
    z.looseObject({
      length: z.optional(measured),
      grip: z.optional(measured),
      diameters: z.array(z.tuple([number, number, number])),
      bow: z.array(z.tuple([number, number, number])),
      bowExpanded: z.optional(z.array(z.tuple([number, number]))),
      fittings: z.optional(z.array(z.looseObject({ kind: text, from: measured, to: measured, thicker: number }))),
      line: z.optional(z.looseObject({ from: number, to: number, roll: measured })),
      turn: z.optional(number),
    }),
  ),
});

const checkSchema = z
  .looseObject({
    id: name,
    buildId: name,
    at: momentSchema,
    plan: planSchema,
    shoot: z.looseObject({ ...readings, photos: z.array(name) }),
    photoIds: z.record(z.string(), name),
    report: reportSchema,
    evidence: evidenceOf(picture),
  })
  .check(sound);

const photoSchema = z.looseObject({ id: name, buildId: name, name, file: blob });
const namedGuideSchema = z.looseObject({ name, guide }).check(sound);

/**
 * What comes out of the browser's store, read as strictly as what comes in from files: undefined where it is not what
 * this app keeps. Fields this version does not know stay as they are.
 */
export const readBuild = (value: unknown): Build | undefined => read(buildSchema, value) as Build | undefined;
export const readCheck = (value: unknown): KeptCheck | undefined => read(checkSchema, value) as KeptCheck | undefined;
/** Which write of a build this was; undefined where what is kept does not tell. */
export const readRevision = (value: unknown): number | undefined =>
  z.looseObject({ revision: z.int() }).safeParse(value).data?.revision;
export const readPhoto = (value: unknown): KeptPhoto | undefined => read(photoSchema, value) as KeptPhoto | undefined;
export const readGuide = (value: unknown): NamedGuide | undefined =>
  read(namedGuideSchema, value) as NamedGuide | undefined;

const read = (schema: z.ZodMiniType, value: unknown): unknown => schema.safeParse(value).data;
