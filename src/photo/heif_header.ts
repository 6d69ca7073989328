import { bytesOf, textAt, tiffBlock } from './byte_view.ts';
import type { ImageHeader } from './image_header.ts';

interface Box {
  kind: string;
  /** where its content begins and ends, bytes from the file's start */
  from: number;
  to: number;
}

/**
 * An HEIC or AVIF file's header (ISO/IEC 23008-12): the largest picture size it declares (phones store a photo as a grid
 * of tiles, each with a size of its own) and its EXIF item.
 */
export function readHeifHeader(view: DataView): ImageHeader | undefined {
  const top = boxes(view, 0, view.byteLength);
  const meta = top.find((box) => box.kind === 'meta');
  if (!meta) return undefined;
  const inside = boxes(view, meta.from + 4, meta.to);
  const size = largestSize(view, inside);
  if (!size) return undefined;
  const exif = exifItem(view, inside);
  const end = top.reduce((last, box) => Math.max(last, box.to), 0);
  return { ...size, ...(exif && { exif }), complete: end <= view.byteLength };
}

function boxes(view: DataView, from: number, to: number): Box[] {
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
    found.push({ kind: textAt(view, at + 4, 4), from: at + head, to: at + size });
    at += size;
  }
  return found;
}

function largestSize(view: DataView, meta: Box[]): { width: number; height: number } | undefined {
  const properties = meta.find((box) => box.kind === 'iprp');
  if (!properties) return undefined;
  let largest: { width: number; height: number } | undefined;
  for (const container of boxes(view, properties.from, properties.to).filter((box) => box.kind === 'ipco')) {
    for (const box of boxes(view, container.from, container.to).filter((property) => property.kind === 'ispe')) {
      const size = { width: view.getUint32(box.from + 4), height: view.getUint32(box.from + 8) };
      if (!largest || size.width * size.height > largest.width * largest.height) largest = size;
    }
  }
  return largest;
}

/** The first EXIF item's TIFF structure. */
function exifItem(view: DataView, meta: Box[]): Uint8Array | undefined {
  const item = items(view, meta).find(({ kind }) => kind === 'Exif');
  if (!item?.bytes || item.bytes.length < 8) return undefined;
  // The item begins with the distance from the next byte to the TIFF structure.
  const skip = 4 + new DataView(item.bytes.buffer, item.bytes.byteOffset).getUint32(0);
  return tiffBlock(item.bytes.subarray(skip));
}

/** An item that describes the picture: EXIF, or `mime` (XMP); `bytes` is absent when it is stored in a way not read here. */
export interface HeifItem {
  kind: string;
  /** a view into the file's own bytes */
  bytes?: Uint8Array;
}

/** Every EXIF and mime item of an HEIC or AVIF file. */
export function heifDescriptions(view: DataView): HeifItem[] {
  const meta = boxes(view, 0, view.byteLength).find((box) => box.kind === 'meta');
  if (!meta) return [];
  return items(view, boxes(view, meta.from + 4, meta.to)).filter(({ kind }) => kind === 'Exif' || kind === 'mime');
}

function items(view: DataView, meta: Box[]): HeifItem[] {
  const information = meta.find((box) => box.kind === 'iinf');
  const locations = meta.find((box) => box.kind === 'iloc');
  if (!information || !locations) return [];
  const countSize = view.getUint8(information.from) === 0 ? 2 : 4;
  return boxes(view, information.from + 4 + countSize, information.to).flatMap((entry): HeifItem[] => {
    const version = entry.kind === 'infe' ? view.getUint8(entry.from) : 0;
    if (version < 2) return [];
    const wide = version > 2;
    const kind = textAt(view, entry.from + 4 + (wide ? 4 : 2) + 2, 4);
    const id = wide ? view.getUint32(entry.from + 4) : view.getUint16(entry.from + 4);
    const extent = firstExtent(view, locations, id);
    return [{ kind, ...(extent && { bytes: bytesOf(view, extent.from, extent.length) }) }];
  });
}

/** Where an item's bytes stand in the file, by the iloc box; undefined when they are stored some other way. */
function firstExtent(view: DataView, iloc: Box, wanted: number): { from: number; length: number } | undefined {
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
  for (let items = take(idSize); items > 0 && at < iloc.to; items--) {
    const id = take(idSize);
    const method = version > 0 ? take(2) & 15 : 0;
    take(2);
    const base = take(baseSize);
    const extents = take(2);
    for (let i = 0; i < extents && at < iloc.to; i++) {
      take(indexSize);
      const from = base + take(offsetSize);
      const length = take(lengthSize);
      if (id === wanted) return method === 0 ? { from, length } : undefined;
    }
  }
  return undefined;
}
