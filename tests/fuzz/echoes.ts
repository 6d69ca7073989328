import { InputError } from '../../src/plan/input_error.ts';

/** Letters that no sentence of ours has: what of a message is made of them, it has from what was handed over. */
const word = 'щжфю';

/** So many characters of words nobody wrote, as a long name or a wrong file would have them. */
export const foreign = (length: number, gap = ' '): string =>
  Array.from({ length: Math.ceil(length / 4) + 1 }, () => word)
    .join(gap)
    .slice(0, length)
    .replace(/[^щжфю]$/u, 'щ');

/** Characters of a message that come from what was handed over, with the gaps between its words. */
export const echoed = (message: string): number =>
  message.match(/[щжфю](?:[ _/-]*(?=[щжфю]))?/gu)?.join('').length ?? 0;

/** A message may hold so many characters of what was handed over. */
export const mostEchoed = 80;

/** How the schema library would say it, and what no sentence of ours holds. */
export const schemaWords =
  /Invalid (input|option|key|element|union)|expected \w+, received|Unrecognized key|Too (small|big):/;

/** What a message of ours must not be; undefined where nothing is wrong with it. */
export function faultOf(message: string): string | undefined {
  if (/[\p{Cc}\u2028\u2029]/u.test(message) || message.length > 600) return 'is no short line';
  if (schemaWords.test(message) || /\S{100}/u.test(message)) return 'is not ours';
  if (echoed(message) > mostEchoed) return `echoes ${echoed(message)} characters`;
  return undefined;
}

/** The message a reader ends with, undefined where it reads. Anything but InputError is thrown on. */
export function refusalOf(read: () => unknown): string | undefined {
  try {
    read();
    return undefined;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return error.message;
  }
}

type Json = null | boolean | number | string | Json[] | { [name: string]: Json };

/** A JSON value with each value in it, one at a time, put in place by `text`, and each name in it renamed to that. */
export function* withForeign(value: Json, text: string): Generator<Json> {
  yield text;
  if (Array.isArray(value)) {
    yield [...value, text];
    // entries of a long list are alike
    for (const i of [0, 1, value.length - 1].filter((k, n, all) => k >= 0 && k < value.length && all.indexOf(k) === n))
      for (const changed of withForeign(value[i]!, text)) yield value.with(i, changed);
  } else if (typeof value === 'object' && value !== null) {
    yield { ...value, [text]: 1 };
    for (const [name, held] of Object.entries(value)) {
      const { [name]: _, ...others } = value;
      yield { ...others, [text]: held };
      for (const changed of withForeign(held, text)) yield { ...value, [name]: changed };
    }
  }
}

/** A JSON value with a foreign text in place of each text that a person chose, and one of its numbers changed. */
export function* renamedAndMoved(value: Json, name: (before: string) => string): Generator<Json> {
  const renamed = renamedThroughout(value, name);
  yield renamed;
  for (const wrong of [0, -1, 1e6, 100.125]) yield* withNumber(renamed, wrong);
}

const chosen = new Set(['id', 'title', 'name', 'camera', 'file', 'over', 'label']);

function renamedThroughout(value: Json, name: (before: string) => string): Json {
  if (Array.isArray(value)) return value.map((entry) => renamedThroughout(entry, name));
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value).map(([key, held]) => [
      key,
      chosen.has(key) && typeof held === 'string' ? name(held) : renamedThroughout(held, name),
    ]),
  );
}

function* withNumber(value: Json, wrong: number): Generator<Json> {
  if (typeof value === 'number') yield wrong;
  else if (Array.isArray(value))
    for (const i of [0, 1, value.length - 1].filter((k, n, all) => k >= 0 && k < value.length && all.indexOf(k) === n))
      for (const changed of withNumber(value[i]!, wrong)) yield value.with(i, changed);
  else if (typeof value === 'object' && value !== null)
    for (const [key, held] of Object.entries(value))
      for (const changed of withNumber(held, wrong)) yield { ...value, [key]: changed };
}
