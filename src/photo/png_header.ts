import { bytesOf, textAt, tiffBlock } from './byte_view.ts';
import type { ImageHeader } from './image_header.ts';

/** A PNG file's header: IHDR, the eXIf chunk, and whether IEND is there (W3C PNG, third edition, 2025). */
export function readPngHeader(view: DataView): ImageHeader | undefined {
  if (textAt(view, 12, 4) !== 'IHDR') return undefined;
  const header: ImageHeader = { width: view.getUint32(16), height: view.getUint32(20), complete: false };
  for (let at = 8; at + 12 <= view.byteLength; at += 12 + view.getUint32(at)) {
    const kind = textAt(view, at + 4, 4);
    if (kind === 'eXIf') header.exif = tiffBlock(bytesOf(view, at + 8, view.getUint32(at)));
    if (kind === 'IEND') {
      header.complete = true;
      break;
    }
  }
  return header;
}
