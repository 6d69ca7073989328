import { textAt } from './byte_view.ts';

/** A box of an HEIC or AVIF file (ISO/IEC 14496-12): places are bytes from the file's start. */
export interface Box {
  kind: string;
  /** where the box itself, its size and kind included, begins */
  start: number;
  /** where its content begins and ends */
  from: number;
  to: number;
}

/** The boxes of a stretch of the file, one after the other. */
export function boxes(view: DataView, from: number, to: number): Box[] {
  const found: Box[] = [];
  for (let at = from; at + 8 <= Math.min(to, view.byteLength); ) {
    let size = view.getUint32(at);
    let head = 8;
    if (size === 1) {
      size = Number(view.getBigUint64(at + 8));
      head = 16;
    }
    if (size === 0) size = to - at;
    if (size < head) break;
    found.push({ kind: textAt(view, at + 4, 4), start: at, from: at + head, to: at + size });
    at += size;
  }
  return found;
}

/** An item the file is made of, and where its bytes stand. */
export interface HeifItem {
  id: number;
  /** four letters; `mime` is XMP or another text */
  kind: string;
  /** where its name and content type stand, after its kind */
  name: { from: number; to: number };
  /** in the file's own bytes, one after the other; undefined when they are stored in a way not read here */
  extents: { from: number; to: number }[] | undefined;
}

/** Every item of the file, by the boxes inside its `meta` box. */
export function heifItems(view: DataView, meta: readonly Box[]): HeifItem[] {
  const information = meta.find((box) => box.kind === 'iinf');
  const iloc = meta.find((box) => box.kind === 'iloc');
  if (!information || !iloc) return [];
  const places = locations(
    view,
    iloc,
    meta.find((box) => box.kind === 'idat'),
  );
  const countSize = view.getUint8(information.from) === 0 ? 2 : 4;
  return boxes(view, information.from + 4 + countSize, information.to).flatMap((entry): HeifItem[] => {
    const version = entry.kind === 'infe' ? view.getUint8(entry.from) : 0;
    if (version < 2) return [];
    const idSize = version > 2 ? 4 : 2;
    const id = idSize === 4 ? view.getUint32(entry.from + 4) : view.getUint16(entry.from + 4);
    const kindAt = entry.from + 4 + idSize + 2;
    return [{ id, kind: textAt(view, kindAt, 4), name: { from: kindAt + 4, to: entry.to }, extents: places.get(id) }];
  });
}

/** More pieces than this make up no photo; a file that claims more wants to keep the reader busy. */
const mostExtents = 20_000;

/** Where each item's bytes stand, by the iloc box. */
function locations(view: DataView, iloc: Box, idat: Box | undefined): Map<number, HeifItem['extents']> {
  const version = view.getUint8(iloc.from);
  const sizes = view.getUint16(iloc.from + 4);
  const offsetSize = sizes >> 12;
  const lengthSize = (sizes >> 8) & 15;
  const baseSize = (sizes >> 4) & 15;
  const indexSize = version > 0 ? sizes & 15 : 0;
  const idSize = version < 2 ? 2 : 4;
  let at = iloc.from + 6;
  const take = (size: number): number => {
    at += size;
    if (size === 2) return view.getUint16(at - 2);
    if (size === 4) return view.getUint32(at - 4);
    if (size === 8) return Number(view.getBigUint64(at - 8));
    return 0;
  };
  const places = new Map<number, HeifItem['extents']>();
  let left = mostExtents;
  for (let items = take(idSize); items > 0 && at < iloc.to; items--) {
    const id = take(idSize);
    const method = version > 0 ? take(2) & 15 : 0;
    const elsewhere = take(2) !== 0;
    const base = take(baseSize) + (method === 1 ? (idat?.from ?? Number.NaN) : 0);
    const count = take(2);
    left -= count;
    if (left < 0) return places;
    const extents: { from: number; to: number }[] = [];
    for (let i = 0; i < count && at < iloc.to; i++) {
      take(indexSize);
      const from = base + take(offsetSize);
      extents.push({ from, to: from + take(lengthSize) });
    }
    const sound = extents.every(({ from, to }) => from < to && to <= view.byteLength);
    places.set(id, method < 2 && !elsewhere && sound ? extents : undefined);
  }
  return places;
}
