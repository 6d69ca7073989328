import { bytesOf, textAt, tiffBlock } from './byte_view.ts';
import type { ImageHeader } from './image_header.ts';

/**
 * A WebP file's header (RFC 9649): size from the first picture chunk, the EXIF chunk, and whether RIFF's length is
 * there.
 */
export function readWebpHeader(view: DataView): ImageHeader | undefined {
  let size: { width: number; height: number } | undefined;
  let exif: Uint8Array | undefined;
  for (let at = 12; at + 8 <= view.byteLength; ) {
    const length = view.getUint32(at + 4, true);
    const kind = textAt(view, at, 4);
    if (kind === 'EXIF') exif = tiffBlock(bytesOf(view, at + 8, length));
    size ??= pictureSize(view, kind, at + 8);
    at += 8 + length + (length % 2);
  }
  return size && { ...size, ...(exif && { exif }), complete: view.byteLength >= view.getUint32(4, true) + 8 };
}

function pictureSize(view: DataView, kind: string, at: number): { width: number; height: number } | undefined {
  const uint24 = (from: number): number => view.getUint16(from, true) | (view.getUint8(from + 2) << 16);
  if (kind === 'VP8X') return { width: uint24(at + 4) + 1, height: uint24(at + 7) + 1 };
  if (kind === 'VP8 ') {
    return { width: view.getUint16(at + 6, true) & 0x3fff, height: view.getUint16(at + 8, true) & 0x3fff };
  }
  if (kind === 'VP8L') {
    const bits = view.getUint32(at + 1, true);
    return { width: (bits & 0x3fff) + 1, height: ((bits >>> 14) & 0x3fff) + 1 };
  }
  return undefined;
}
