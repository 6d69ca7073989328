import { InputError } from '../input_error.ts';
import { shortened } from '../lengths/length_text.ts';

/**
 * Parses JSON text (RFC 8259), naming line and column of the first fault the same way in every engine, and refusing a
 * name given twice in one object, which JSON.parse would settle silently in favour of the last.
 * Throws InputError.
 */
export function parseJson(text: string, file: string): unknown {
  const plain = text.replace(/^\ufeff/, '');
  if (plain.trim() === '') throw new InputError(`${file} is empty: choose the file again, or save it again.`);
  const fault = firstFault(plain);
  if (fault) throw new InputError(`${file}, ${lineAndColumn(plain, fault.at)}: ${fault.message}.`);
  return JSON.parse(plain) as unknown;
}

class Fault extends Error {
  at: number;
  constructor(at: number, what: string) {
    super(what);
    this.at = at;
  }
}

function lineAndColumn(text: string, at: number): string {
  const before = text.slice(0, at).split(/\r\n|\r|\n/);
  return `line ${before.length}, column ${before.at(-1)!.length + 1}`;
}

const deepest = 100;

/** The first place where the text stops being JSON, or undefined. */
function firstFault(text: string): Fault | undefined {
  let at = 0;
  const stop = (what: string, place = at): never => {
    throw new Fault(place, place < text.length ? what : 'the file breaks off here; save or copy it again in full');
  };
  const take = (pattern: RegExp): string | undefined => {
    pattern.lastIndex = at;
    const found = pattern.exec(text)?.[0];
    if (found !== undefined) at += found.length;
    return found;
  };
  const space = () => take(/[ \t\r\n]*/y);
  const string = (): string => {
    const start = at;
    at++;
    // run by run: one pattern for the whole of a long text would run out of stack
    do take(/[ !#-[\]-\uffff]*/y);
    while (take(/\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4})/y) !== undefined);
    if (take(/"/y) !== undefined) return JSON.parse(text.slice(start, at)) as string;
    do take(/[^"\\\r\n]*/y);
    while (take(/\\./y) !== undefined);
    if (text[at] === '"') return stop('this text holds a character JSON does not allow; write it plainly', start);
    const lineEnd = text.slice(start).search(/[\r\n]/);
    return stop('this text has no closing quotation mark; add it', lineEnd < 0 ? text.length : start);
  };
  const value = (depth: number): void => {
    if (depth > deepest) stop('the brackets are nested too deep for a file of this kind; choose another file');
    space();
    const sign = text[at];
    if (sign === '{') object(depth);
    else if (sign === '[') array(depth);
    else if (sign === '"') string();
    else if (
      take(/true|false|null/y) === undefined &&
      take(/-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y) === undefined
    ) {
      stop('a value belongs here (a number, a text in quotation marks, a list or an object)');
    }
    space();
  };
  const array = (depth: number): void => {
    at++;
    space();
    if (take(/\]/y) !== undefined) return;
    for (;;) {
      value(depth + 1);
      if (take(/\]/y) !== undefined) return;
      if (take(/,/y) === undefined) stop('a comma or ] belongs here');
    }
  };
  const object = (depth: number): void => {
    at++;
    space();
    if (take(/\}/y) !== undefined) return;
    const names = new Set<string>();
    for (;;) {
      space();
      const start = at;
      if (text[at] !== '"') stop('a name in quotation marks belongs here');
      const name = string();
      if (names.has(name)) stop(`"${shortened(name)}" is given twice in one object; keep one`, start);
      names.add(name);
      space();
      if (take(/:/y) === undefined) stop('a colon belongs here');
      value(depth + 1);
      if (take(/\}/y) !== undefined) return;
      if (take(/,/y) === undefined) stop('a comma or } belongs here');
    }
  };
  try {
    value(0);
    if (at < text.length) stop('the file goes on after its end; remove what follows');
    return undefined;
  } catch (error) {
    if (error instanceof Fault) return error;
    throw error;
  }
}
