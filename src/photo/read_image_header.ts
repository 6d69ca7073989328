import type { FileKind } from './file_kind.ts';
import type { ImageHeader } from './image_header.ts';
import { readHeifHeader } from './heif_header.ts';
import { readJpegHeader } from './jpeg_header.ts';
import { readPngHeader } from './png_header.ts';
import { readWebpHeader } from './webp_header.ts';

/** The header of an image file of this kind, or undefined when none can be read; throws on no bytes whatever. */
export function readImageHeader(bytes: Uint8Array, kind: FileKind): ImageHeader | undefined {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  try {
    if (kind === 'jpeg') return readJpegHeader(view);
    if (kind === 'png') return readPngHeader(view);
    if (kind === 'webp') return readWebpHeader(view);
    if (kind === 'heic' || kind === 'avif') return readHeifHeader(view);
  } catch (error) {
    // Only a read past the end of the bytes: the file stops in the middle of its header.
    if (!(error instanceof RangeError)) throw error;
  }
  return undefined;
}
