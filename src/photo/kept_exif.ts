/** Tags that go along with a photo: how it was taken and turned, and nothing about where (CIPA DC-008, Exif 3.0). */
const keptTags: ReadonlySet<number> = new Set([
  0x010f, // make
  0x0110, // model
  0x0112, // orientation
  0x011a, // resolution along and across, and its unit
  0x011b,
  0x0128,
  0x0132, // changed at
  0x829a, // exposure time
  0x829d, // f-number
  0x8827, // sensitivity
  0x9000, // version of Exif
  0x9003, // taken at
  0x920a, // focal length
  0xa001, // colour space
  0xa002, // width and height
  0xa003,
  0xa20e, // focal plane resolution along and across, and its unit
  0xa20f,
  0xa210,
  0xa404, // digital zoom
  0xa405, // focal length as if on 36 x 24 mm film
  0xa432, // lens: specification, make, model
  0xa433,
  0xa434,
]);
const exifDirectory = 0x8769;

const bytesOfType: Readonly<Record<number, number>> = {
  1: 1,
  2: 1,
  3: 2,
  4: 4,
  5: 8,
  6: 1,
  7: 1,
  8: 2,
  9: 4,
  10: 8,
  11: 4,
  12: 8,
  129: 1,
};
/** No kept value is longer; a longer one carries something else. */
const longestValue = 512;

interface Entry {
  tag: number;
  type: number;
  count: number;
  value: Uint8Array;
}

/**
 * An EXIF block (a TIFF structure) written anew with the kept tags alone, in the byte order it came in, values bit by
 * bit as they were. GPS directory, maker notes, thumbnail, XMP and comments are not taken along. Undefined when nothing
 * readable is in it.
 */
export function keptExif(tiff: Uint8Array): Uint8Array<ArrayBuffer> | undefined {
  const view = new DataView(tiff.buffer, tiff.byteOffset, tiff.byteLength);
  if (view.byteLength < 8) return undefined;
  const order = view.getUint16(0);
  if (order !== 0x4949 && order !== 0x4d4d) return undefined;
  const little = order === 0x4949;
  const first = readEntries(view, view.getUint32(4, little), little);
  const pointer = first.find((entry) => entry.tag === exifDirectory);
  const main = first.filter((entry) => keptTags.has(entry.tag));
  const second = pointer
    ? readEntries(view, new DataView(pointer.value.buffer, pointer.value.byteOffset).getUint32(0, little), little)
    : [];
  const exif = second.filter((entry) => keptTags.has(entry.tag));
  return main.length + exif.length === 0 ? undefined : write(main, exif, little);
}

function readEntries(view: DataView, at: number, little: boolean): Entry[] {
  const entries: Entry[] = [];
  if (at + 2 > view.byteLength) return entries;
  const count = view.getUint16(at, little);
  for (let i = 0; i < count; i++) {
    const from = at + 2 + 12 * i;
    if (from + 12 > view.byteLength) break;
    const tag = view.getUint16(from, little);
    if (!keptTags.has(tag) && tag !== exifDirectory) continue;
    const type = view.getUint16(from + 2, little);
    const values = view.getUint32(from + 4, little);
    const length = (bytesOfType[type] ?? 0) * values;
    if (length < 1 || length > longestValue || (tag === exifDirectory && length !== 4)) continue;
    const start = length <= 4 ? from + 8 : view.getUint32(from + 8, little);
    if (start + length > view.byteLength) continue;
    entries.push({ tag, type, count: values, value: new Uint8Array(view.buffer, view.byteOffset + start, length) });
  }
  return entries;
}

const directoryLength = (entries: readonly Entry[]) => 2 + 12 * entries.length + 4;

/** Header, first directory, its long values, EXIF directory, its long values. */
function write(main: readonly Entry[], exif: readonly Entry[], little: boolean): Uint8Array<ArrayBuffer> {
  const pointer: Entry = { tag: exifDirectory, type: 4, count: 1, value: new Uint8Array(4) };
  const first = exif.length > 0 ? [...main, pointer].toSorted((a, b) => a.tag - b.tag) : main;
  const padded = (length: number) => length + (length % 2);
  const longOf = (entries: readonly Entry[]) =>
    entries.reduce((sum, { value }) => sum + (value.length > 4 ? padded(value.length) : 0), 0);
  const second = 8 + directoryLength(first) + longOf(first);
  const out = new Uint8Array(second + (exif.length > 0 ? directoryLength(exif) + longOf(exif) : 0));
  const view = new DataView(out.buffer);
  new DataView(pointer.value.buffer).setUint32(0, second, little);
  view.setUint16(0, little ? 0x4949 : 0x4d4d);
  view.setUint16(2, 42, little);
  view.setUint32(4, 8, little);
  const directory = (entries: readonly Entry[], at: number) => {
    view.setUint16(at, entries.length, little);
    let long = at + directoryLength(entries);
    for (const [i, { tag, type, count, value }] of entries.entries()) {
      const to = at + 2 + 12 * i;
      view.setUint16(to, tag, little);
      view.setUint16(to + 2, type, little);
      view.setUint32(to + 4, count, little);
      if (value.length > 4) view.setUint32(to + 8, long, little);
      out.set(value, value.length > 4 ? long : to + 8);
      if (value.length > 4) long += padded(value.length);
    }
  };
  directory(first, 8);
  if (exif.length > 0) directory(exif, second);
  return out;
}
