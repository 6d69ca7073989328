import { bytesOf, tiffBlock } from './byte_view.ts';
import { type Box, boxes, heifItems } from './heif_boxes.ts';
import type { ImageHeader } from './image_header.ts';

/**
 * An HEIC or AVIF file's header (ISO/IEC 23008-12): the largest picture size it declares (phones store a photo as a
 * grid of tiles, each with a size of its own) and its EXIF item.
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
  const place = heifItems(view, meta).find(({ kind }) => kind === 'Exif')?.extents?.[0];
  return place && heifExif(bytesOf(view, place.from, place.to - place.from));
}

/** The TIFF structure in an EXIF item: the item begins with the distance from the next byte to it. */
export function heifExif(item: Uint8Array): Uint8Array | undefined {
  if (item.length < 8) return undefined;
  return tiffBlock(item.subarray(4 + new DataView(item.buffer, item.byteOffset).getUint32(0)));
}
