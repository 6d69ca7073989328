import { InputError } from '../input_error.ts';
import { shortened } from '../lengths/length_text.ts';
import { inFile } from './in_file.ts';

/**
 * The names an object in a file may have: `true` for a plain value, a record for an object, a list of one for a list.
 */
export interface KnownKeys {
  [name: string]: true | KnownKeys | readonly [KnownKeys];
}

/**
 * Refuses a name that is not known, naming the nearest that is. Values of the wrong kind are left for the schema to
 * tell.
 */
export function refuseUnknownKeys(value: unknown, known: KnownKeys, file: string, path = ''): void {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return;
  for (const [name, held] of Object.entries(value)) {
    const keys = Object.hasOwn(known, name) ? known[name]! : undefined;
    const place = path === '' ? '' : `${path}, `;
    if (keys === undefined) {
      const near = nearestName(name, Object.keys(known));
      const cure = near ? `write "${near}" if that is meant, or leave it out` : 'correct its name or leave it out';
      throw new InputError(`${inFile(file)}, ${place}${shortened(name)}: is not known here; ${cure}.`);
    }
    if (keys === true) continue;
    if (!Array.isArray(keys)) refuseUnknownKeys(held, keys as KnownKeys, file, `${place}${name}`);
    else if (Array.isArray(held)) {
      for (const [i, entry] of held.entries()) refuseUnknownKeys(entry, keys[0], file, `${place}${name}[${i}]`);
    }
  }
}

const letters = (name: string): string => name.toLowerCase().replace(/[^a-z]/g, '');

/** The known name nearest to one given, by slips of the pen, if any is near. */
export function nearestName(given: string, known: readonly string[]): string | undefined {
  const plain = letters(given).slice(0, 60);
  const near = known
    .map((name) => ({ name, slips: slipsBetween(plain, letters(name)) }))
    .filter(({ name, slips }) => slips <= Math.max(1, Math.floor(name.length / 3)) && slips < letters(name).length)
    .toSorted((a, b) => a.slips - b.slips);
  return near[0]?.name;
}

/**
 * Letters added, left out, changed, or neighbours exchanged between two words (Damerau 1964, restricted edit distance).
 */
export function slipsBetween(a: string, b: string): number {
  let before: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const changed = last[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1);
      row[j] = Math.min(changed, last[j]! + 1, row[j - 1]! + 1);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        row[j] = Math.min(row[j]!, before[j - 2]! + 1);
    }
    [before, last] = [last, row];
  }
  return last[b.length]!;
}
