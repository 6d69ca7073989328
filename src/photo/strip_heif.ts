import { type Box, boxes, heifItems } from './heif_boxes.ts';
import { heifExif } from './heif_header.ts';
import { keptExif } from './kept_exif.ts';

type Bytes = Uint8Array<ArrayBuffer>;

/** Boxes of the file and of its `meta` box without which there is no picture (ISO/IEC 23008-12). */
const neededOfFile: ReadonlySet<string> = new Set(['ftyp', 'meta', 'mdat']);
const neededOfMeta: ReadonlySet<string> = new Set(['hdlr', 'pitm', 'iinf', 'iloc', 'iprp', 'iref', 'idat']);
/** Properties that make up or colour the picture; descriptions, private and free ones go. */
const neededProperties: ReadonlySet<string> = new Set(
  'ispe pixi colr pasp clap irot imir auxC hvcC av1C avcC jpgC vvcC lsel a1op a1lx rloc clli mdcv cclv amve tols'.split(
    ' ',
  ),
);

/**
 * An HEIC or AVIF photo without anything but its picture: places of everything are written down in the file, so what is
 * not needed is written over with zeros and called free, never taken out; only what hangs behind the last needed box is
 * cut. Stretches of the picture's data that no item of the picture uses are zeros as well. Undefined where the file is
 * stored in a way of which nothing can be promised. Throws RangeError where it stops in the middle.
 */
export function heifWithout(bytes: Uint8Array): Bytes | undefined {
  const copy: Bytes = new Uint8Array(bytes);
  const view = new DataView(copy.buffer);
  const top = boxes(view, 0, copy.length);
  const meta = top.find(({ kind }) => kind === 'meta');
  if (!meta || top.filter(({ kind }) => kind === 'meta').length > 1) return undefined;
  const inside = boxes(view, meta.from + 4, meta.to);
  const items = heifItems(view, inside);
  if (items.length === 0 || !items.every(({ extents }) => extents)) return undefined;

  const used: { from: number; to: number }[] = [];
  for (const { kind, name, extents } of items) {
    copy.fill(0, name.from, name.to);
    if (kind === 'Exif') used.push(...keepExif(copy, extents!));
    else if (kind !== 'mime' && kind !== 'uri ') used.push(...extents!);
  }
  for (const box of [...top, ...inside].filter(({ kind }) => kind === 'mdat' || kind === 'idat'))
    eraseUnused(copy, box, used);
  for (const box of top) if (!neededOfFile.has(box.kind)) erase(copy, box);
  for (const box of inside) {
    if (!neededOfMeta.has(box.kind)) erase(copy, box);
    // a handler's name is for people to read
    if (box.kind === 'hdlr') copy.fill(0, box.from + 24, box.to);
    if (box.kind === 'iprp') eraseProperties(copy, view, box);
  }
  const last = top.findLast(({ kind }) => neededOfFile.has(kind))!;
  return copy.slice(0, last.to);
}

function eraseProperties(copy: Bytes, view: DataView, iprp: Box): void {
  for (const box of boxes(view, iprp.from, iprp.to)) {
    if (box.kind !== 'ipco') continue;
    for (const property of boxes(view, box.from, box.to))
      if (!neededProperties.has(property.kind)) erase(copy, property);
  }
}

/** The box keeps its size and holds nothing. */
function erase(copy: Bytes, { start, from, to }: Box): void {
  copy.set([0x66, 0x72, 0x65, 0x65], start + 4);
  copy.fill(0, from, to);
}

function eraseUnused(copy: Bytes, { from, to }: Box, used: readonly { from: number; to: number }[]): void {
  let at = from;
  for (const piece of used.toSorted((a, b) => a.from - b.from)) {
    if (piece.to <= at || piece.from >= to) continue;
    copy.fill(0, at, Math.max(at, piece.from));
    at = Math.max(at, piece.to);
  }
  if (at < to) copy.fill(0, at, to);
}

/**
 * Writes the kept part of an EXIF item in its place, where it is stored in one piece; otherwise nothing of it stays.
 */
function keepExif(copy: Bytes, extents: readonly { from: number; to: number }[]): { from: number; to: number }[] {
  const [place] = extents;
  if (!place || extents.length > 1) return [];
  const item = copy.subarray(place.from, place.to);
  const tiff = heifExif(item.slice());
  const exif = tiff && keptExif(tiff);
  item.fill(0);
  if (!exif || exif.length + 4 > item.length) return [];
  item.set(exif, 4);
  return [place];
}
