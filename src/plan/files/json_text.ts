import { InputError } from '../input_error.ts';
import { shortened } from '../lengths/length_text.ts';
import { inFile } from './in_file.ts';

/**
 * Parses JSON text (RFC 8259), naming line and column of the first fault the same way in every engine, and refusing a
 * name given twice in one object, which JSON.parse would settle silently in favour of the last.
 * Throws InputError.
 */
export function parseJson(text: string, file: string): unknown {
  const plain = text.replace(/^\ufeff/, '');
  if (plain.trim() === '') throw new InputError(`${inFile(file)} is empty: choose the file again, or save it again.`);
  const fault = firstFault(plain);
  if (fault) throw new InputError(`${inFile(file)}, ${lineAndColumn(plain, fault.at)}: ${fault.message}.`);
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

/** Reads a text as JSON from its start, to stop at the first place where it is none. */
class JsonReader {
  at = 0;
  constructor(readonly text: string) {}

  stop(what: string, place = this.at): never {
    const broken = 'the file breaks off here; save or copy it again in full';
    throw new Fault(place, place < this.text.length ? what : broken);
  }

  take(pattern: RegExp): string | undefined {
    pattern.lastIndex = this.at;
    const found = pattern.exec(this.text)?.[0];
    if (found !== undefined) this.at += found.length;
    return found;
  }

  space(): void {
    this.take(/[ \t\r\n]*/y);
  }

  string(): string {
    const { text } = this;
    const start = this.at;
    this.at++;
    // run by run: one pattern for the whole of a long text would run out of stack
    do this.take(/[ !#-[\]-\uffff]*/y);
    while (this.take(/\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4})/y) !== undefined);
    if (this.take(/"/y) !== undefined) return JSON.parse(text.slice(start, this.at)) as string;
    do this.take(/[^"\\\r\n]*/y);
    while (this.take(/\\./y) !== undefined);
    if (text[this.at] === '"')
      return this.stop('this text holds a character JSON does not allow; write it plainly', start);
    const lineEnd = text.slice(start).search(/[\r\n]/);
    return this.stop('this text has no closing quotation mark; add it', lineEnd < 0 ? text.length : start);
  }

  value(depth: number): void {
    if (depth > deepest) this.stop('the brackets are nested too deep for a file of this kind; choose another file');
    this.space();
    const sign = this.text[this.at];
    if (sign === '{') this.object(depth);
    else if (sign === '[') this.array(depth);
    else if (sign === '"') this.string();
    else if (
      this.take(/true|false|null/y) === undefined &&
      this.take(/-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y) === undefined
    ) {
      this.stop('a value belongs here (a number, a text in quotation marks, a list or an object)');
    }
    this.space();
  }

  array(depth: number): void {
    this.at++;
    this.space();
    if (this.take(/\]/y) !== undefined) return;
    for (;;) {
      this.value(depth + 1);
      if (this.take(/\]/y) !== undefined) return;
      if (this.take(/,/y) === undefined) this.stop('a comma or ] belongs here');
    }
  }

  object(depth: number): void {
    this.at++;
    this.space();
    if (this.take(/\}/y) !== undefined) return;
    const names = new Set<string>();
    for (;;) {
      this.space();
      const start = this.at;
      if (this.text[this.at] !== '"') this.stop('a name in quotation marks belongs here');
      const name = this.string();
      if (names.has(name)) this.stop(`"${shortened(name)}" is given twice in one object; keep one`, start);
      names.add(name);
      this.space();
      if (this.take(/:/y) === undefined) this.stop('a colon belongs here');
      this.value(depth + 1);
      if (this.take(/\}/y) !== undefined) return;
      if (this.take(/,/y) === undefined) this.stop('a comma or } belongs here');
    }
  }
}

/** The first place where the text stops being JSON, or undefined. */
function firstFault(text: string): Fault | undefined {
  const reader = new JsonReader(text);
  try {
    reader.value(0);
    if (reader.at < text.length) reader.stop('the file goes on after its end; remove what follows');
    return undefined;
  } catch (error) {
    if (error instanceof Fault) return error;
    throw error;
  }
}
