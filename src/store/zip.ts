import { inflateSync, zipSync } from 'fflate';
import { crc32 } from '../photo/crc32.ts';
import { InputError } from '../plan/input_error.ts';
import { shownName } from '../plan/shown_name.ts';

/** More than this unpacked is no build: a phone could not hold it, bytes. */
const mostUnpacked = 1.5e9;

/** Files packed into a zip, texts made smaller, pictures stored as they are. Names use forward slashes. */
export function packZip(files: ReadonlyMap<string, Uint8Array>, at: Date): Uint8Array<ArrayBuffer> {
  const level = (name: string) => (/\.(?:json|csv|txt)$/.test(name) ? 6 : 0);
  return zipSync(
    Object.fromEntries([...files].map(([name, bytes]) => [name, [bytes, { level: level(name), mtime: at }]])),
  );
}

/**
 * Every file of a zip (PKWARE APPNOTE 6.3, stored or deflated, no zip64), each checked against its CRC; folders are
 * left out. Throws InputError in one sentence when the zip is cut off, damaged, locked or far too large; `name` is what
 * it is called.
 */
export function unpackZip(bytes: Uint8Array, name: string): Map<string, Uint8Array> {
  const damaged = () =>
    new InputError(`${shownName(name)} is damaged or cut off, so nothing was taken from it: copy or save it again.`);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  try {
    const end = endOfDirectory(view);
    if (end === undefined) throw damaged();
    const entries = directory(view, end);
    if (!entries) throw damaged();
    // all of it is added up before any of it is unpacked
    if (entries.reduce((sum, { length }) => sum + length, 0) > mostUnpacked)
      throw new InputError(
        `${shownName(name)} unpacks to more than 1.5 GB, which no build needs: choose another file.`,
      );
    const files = new Map<string, Uint8Array>();
    for (const entry of entries) {
      if (entry.name.endsWith('/')) continue;
      if (entry.locked)
        throw new InputError(`${shownName(name)} is locked with a password: save it again without one.`);
      const content = contentOf(bytes, view, entry);
      if (!content || content.length !== entry.length || crc32(content) !== entry.crc) throw damaged();
      files.set(entry.name, content);
    }
    return files;
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw damaged();
  }
}

/** The record that closes a zip stands at its end, before a comment of at most 65535 bytes. */
function endOfDirectory(view: DataView): number | undefined {
  for (let at = view.byteLength - 22; at >= Math.max(0, view.byteLength - 22 - 65535); at--)
    if (view.getUint32(at, true) === 0x06054b50) return at;
  return undefined;
}

interface Entry {
  name: string;
  locked: boolean;
  method: number;
  crc: number;
  packed: number;
  length: number;
  local: number;
  next: number;
}

/** Every entry of the directory whose closing record stands at `end`; undefined where it is damaged. */
function directory(view: DataView, end: number): Entry[] | undefined {
  const entries: Entry[] = [];
  let at = view.getUint32(end + 16, true);
  for (let left = view.getUint16(end + 10, true); left > 0; left--) {
    if (view.getUint32(at, true) !== 0x02014b50) return undefined;
    const entry = directoryEntry(view, at);
    entries.push(entry);
    at = entry.next;
  }
  return entries;
}

function directoryEntry(view: DataView, at: number): Entry {
  const nameLength = view.getUint16(at + 28, true);
  const name = new Uint8Array(view.buffer, view.byteOffset + at + 46, nameLength);
  return {
    name: new TextDecoder().decode(name).replaceAll('\\', '/'),
    locked: (view.getUint16(at + 8, true) & 1) !== 0,
    method: view.getUint16(at + 10, true),
    crc: view.getUint32(at + 16, true),
    packed: view.getUint32(at + 20, true),
    length: view.getUint32(at + 24, true),
    local: view.getUint32(at + 42, true),
    next: at + 46 + nameLength + view.getUint16(at + 30, true) + view.getUint16(at + 32, true),
  };
}

function contentOf(bytes: Uint8Array, view: DataView, entry: Entry): Uint8Array | undefined {
  if (view.getUint32(entry.local, true) !== 0x04034b50) return undefined;
  const from = entry.local + 30 + view.getUint16(entry.local + 26, true) + view.getUint16(entry.local + 28, true);
  const packed = bytes.subarray(from, from + entry.packed);
  if (packed.length !== entry.packed) return undefined;
  if (entry.method === 0) return packed;
  // deflate makes nothing smaller than a 1032nd: a longer length is not true and would only take memory
  if (entry.length > 1032 * entry.packed + 1032) return undefined;
  if (entry.method === 8) return inflateSync(packed, { out: new Uint8Array(entry.length) });
  return undefined;
}
