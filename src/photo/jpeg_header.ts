import { bytesOf, textAt, tiffBlock } from './byte_view.ts';
import type { ImageHeader } from './image_header.ts';

export const endOfImage = 0xd9;
export const startOfScan = 0xda;

/** Markers that stand alone, without a length: TEM, the restart markers, SOI. */
export const standsAlone = (marker: number): boolean => marker === 0x01 || (marker >= 0xd0 && marker <= 0xd8);
/** SOF0 to SOF15, the frame headers; C4, C8 and CC in between are none. */
const isFrameHeader = (marker: number): boolean =>
  marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;

/**
 * A JPEG file's header (ITU-T T.81, annex B). The file is complete when the end-of-image marker of this very image is
 * there: thumbnails inside EXIF and whatever phones append behind the image have their own and do not count.
 */
export function readJpegHeader(view: DataView): ImageHeader | undefined {
  let size: { width: number; height: number } | undefined;
  let exif: Uint8Array | undefined;
  let complete = false;
  let at = 2;
  try {
    for (;;) {
      at = nextMarker(view, at);
      if (at < 0) break;
      const marker = view.getUint8(at + 1);
      at += 2;
      if (marker === endOfImage) {
        complete = true;
        break;
      }
      if (standsAlone(marker)) continue;
      const length = view.getUint16(at);
      if (marker === 0xe1 && exif === undefined && textAt(view, at + 2, 4) === 'Exif') {
        exif = tiffBlock(bytesOf(view, at + 2, length - 2));
      }
      if (isFrameHeader(marker) && size === undefined) {
        size = { height: view.getUint16(at + 3), width: view.getUint16(at + 5) };
      }
      if (marker === startOfScan && size === undefined) return undefined;
      at += Math.max(length, 2);
    }
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
  }
  return size && { ...size, ...(exif && { exif }), complete };
}

/** Where the next marker's FF stands, skipping entropy-coded data (in it FF is followed by 0), or -1 at the end. */
export function nextMarker(view: DataView, from: number): number {
  const bytes = bytesOf(view, 0, view.byteLength);
  for (let at = bytes.indexOf(0xff, from); at >= 0 && at + 1 < bytes.length; at = bytes.indexOf(0xff, at + 1)) {
    const next = bytes[at + 1]!;
    if (next !== 0 && next !== 0xff) return at;
  }
  return -1;
}
