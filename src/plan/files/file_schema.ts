import { z } from 'zod';
import { InputError } from '../input_error.ts';
import { parseJson } from './json_text.ts';
import { formatLength, readLength, shortened } from '../lengths/length_text.ts';
import { longestRod } from './longest_rod.ts';
import { toMillimetres, type Unit } from '../lengths/units.ts';
import { inFile, placeName } from './in_file.ts';

export { longestRod };

/** What a file counts its lengths in. */
const unitSchema = z.object({ unit: z.enum(['mm', 'in']) });

/** The unit that a file names. Throws InputError. */
export const readUnit = (value: unknown, file: string): Unit => readWith(unitSchema, value, file).unit;

/** A schema for each unit, put together once: that takes many times as long as to read a file by it. */
export function byUnit<T>(make: (unit: Unit) => T): (unit: Unit) => T {
  const made = new Map<Unit, T>();
  return (unit) => {
    const known = made.get(unit) ?? make(unit);
    made.set(unit, known);
    return known;
  };
}

/**
 * A length in a file, a number or a text as a person writes it, both in the file's unit unless the text names another;
 * in the plain types millimetres between `least` and `most`.
 */
export function lengthField(unit: Unit, least: number, most: number) {
  return z
    .union([z.number(), z.string()], { error: 'must be a length, as a number or a text such as "5 3/8"' })
    .transform((value, context): number => {
      const reading = typeof value === 'string' ? readLength(value, unit) : undefined;
      if (reading && !reading.ok) {
        context.addIssue({
          code: 'custom',
          message: `${reading.why}; write a length such as 5.375, "5 3/8" or "136.5 mm"`,
        });
        return z.NEVER;
      }
      const mm = reading?.ok ? reading.mm : toMillimetres(value as number, unit);
      if (!(mm >= least && mm <= most)) {
        const limits = `${limitText(least, unit)} to ${limitText(most, unit)}`;
        const written = typeof value === 'string' ? `"${shortened(value)}"` : `${value} ${unit}`;
        context.addIssue({ code: 'custom', message: `${written} is outside ${limits}; check the number and its unit` });
        return z.NEVER;
      }
      return mm;
    });
}

/** A limit with as many decimals as it takes to be told from nought. */
const limitText = (mm: number, unit: Unit): string => {
  const decimals = Math.abs(mm) >= 1 || mm === 0 ? 1 : 2;
  return formatLength(mm, unit, { mmDecimals: decimals, inchDecimals: decimals + 2 });
};

/** An angle in degrees between `least` and `most`. */
export function degreesField(least: number, most: number) {
  const words = `must be degrees from ${least} to ${most}`;
  return z.number({ error: words }).min(least, words).max(most, words);
}

/** A number between `least` and `most`; `what` says of what, as in "must be newtons from 1 to 2". */
export function numberField(what: string, least: number, most: number) {
  const words = `must be ${what} from ${least} to ${most}`;
  return z.number({ error: words }).min(least, words).max(most, words);
}

/** A place along the rod, mm from its tip. */
export const placeField = (unit: Unit) => lengthField(unit, 0, longestRod);

export const nameField = (what: string) =>
  z
    .string({ error: `must be ${what}, as a text` })
    .trim()
    .min(1, `must be ${what}, not an empty text`)
    .max(200, `is too long; give ${what} of at most 200 characters`)
    // a line break or a turned reading order could make one line of a list look like another
    .regex(/^[^\p{Cc}\u2028\u2029\u202a-\u202e\u2066-\u2069]*$/u, 'must stand on one line, without control characters');

/** A stretch of the rod, mm from its tip. */
export const stretchFields = (unit: Unit) => ({
  from: lengthField(unit, 0, longestRod),
  to: lengthField(unit, 0, longestRod),
});

/** The record without the fields a file left out. */
export function present<T extends object>(record: T): { [K in keyof T]: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]: Exclude<T[K], undefined>;
  };
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** `positions[3] "G4", at` from a path into the file's own value; the id is added where the list's entry has one. */
function placeOf(path: readonly PropertyKey[], root: unknown): string {
  let value = root;
  let place = '';
  for (const key of path) {
    value = isRecord(value) || Array.isArray(value) ? (value as Record<PropertyKey, unknown>)[key] : undefined;
    if (typeof key === 'number') place += `[${key}]`;
    else place += `${place === '' ? '' : ', '}${shortened(String(key), 30)}`;
    if (typeof key === 'number' && isRecord(value) && typeof value.id === 'string')
      place += ` "${placeName(value.id)}"`;
  }
  return place;
}

function problem(issue: z.core.$ZodIssue, root: unknown): string {
  let value = root;
  for (const key of issue.path) {
    value = isRecord(value) || Array.isArray(value) ? (value as Record<PropertyKey, unknown>)[key] : undefined;
  }
  if (value === undefined && issue.code !== 'custom') return 'is missing; add it';
  if (issue.code === 'invalid_value') return `must be ${issue.values.map((v) => `"${String(v)}"`).join(' or ')}`;
  if (issue.code === 'invalid_type' && issue.expected === 'object') return 'must be an object in braces';
  if (issue.code === 'invalid_type' && issue.expected === 'array') return 'must be a list in square brackets';
  if (issue.code === 'unrecognized_keys')
    return `"${shortened(issue.keys[0]!)}" is not known here; correct its name or leave it out`;
  return issue.message;
}

/** Plain words for what a schema does not word itself. */
function wordsFor(issue: z.core.$ZodRawIssue): string {
  const kinds: Record<string, string> = { number: 'a number', string: 'a text', boolean: 'true or false' };
  if (issue.code === 'invalid_type') return `must be ${kinds[issue.expected] ?? 'of another kind'}`;
  if (issue.code === 'too_big') return `is more than ${String(issue.maximum)}, the most that is taken`;
  if (issue.code === 'too_small') return `is less than ${String(issue.minimum)}, the least that is taken`;
  return 'is not what belongs here; compare it with an example';
}

/** Checks a file's value against its schema. Throws InputError naming the file and the first place that is wrong. */
export function readWith<T>(schema: z.ZodType<T>, value: unknown, file: string): T {
  const result = schema.safeParse(value, { error: wordsFor });
  if (result.success) return result.data;
  const issue = result.error.issues[0]!;
  const place = placeOf(issue.path, value);
  throw new InputError(`${inFile(file)}${place === '' ? '' : `, ${place}`}: ${problem(issue, value)}.`);
}

/** JSON text or a value already parsed, as an object whose `schema` is the one asked for. Throws InputError. */
export function readHeader(input: unknown, schema: string, file: string): Record<string, unknown> {
  const value = typeof input === 'string' ? parseJson(input, file) : input;
  if (!isRecord(value))
    throw new InputError(`${inFile(file)}: must hold one object in braces with "schema": "${schema}".`);
  const family = schema.slice(0, schema.indexOf('/'));
  const given = value.schema;
  if (given === schema) return value;
  if (given === undefined) throw new InputError(`${inFile(file)}, schema: is missing; add "schema": "${schema}".`);
  if (typeof given === 'string' && given.startsWith(`${family}/`)) {
    throw new InputError(
      `${inFile(file)}, schema: "${shortened(given)}" is another version; this one reads "${schema}", so save the file as that.`,
    );
  }
  throw new InputError(
    `${inFile(file)}, schema: is ${shortened(JSON.stringify(given))} but "${schema}" is needed here; choose the right file.`,
  );
}
