import { textAt } from './byte_view.ts';

/**
 * A PNG or WebP file without its EXIF chunk. Browsers differ in whether they turn such files by what EXIF says; without
 * it none of them does.
 */
export function withoutExifChunk(bytes: Uint8Array, kind: 'png' | 'webp'): Uint8Array<ArrayBuffer> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const png = kind === 'png';
  const parts = [bytes.subarray(0, png ? 8 : 12)];
  for (let at = png ? 8 : 12; at + 8 <= bytes.length; ) {
    const length = view.getUint32(png ? at : at + 4, !png);
    const name = textAt(view, png ? at + 4 : at, 4);
    const end = at + (png ? 12 + length : 8 + length + (length % 2));
    if (name !== 'eXIf' && name !== 'EXIF') parts.push(bytes.subarray(at, end));
    at = end;
  }
  const kept = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let place = 0;
  for (const part of parts) {
    kept.set(part, place);
    place += part.length;
  }
  if (!png) {
    const out = new DataView(kept.buffer);
    out.setUint32(4, kept.length - 8, true);
    // RFC 9649, 2.7: bit 3 of the extended header's flags says that an EXIF chunk follows.
    if (textAt(out, 12, 4) === 'VP8X') out.setUint8(20, out.getUint8(20) & ~0x08);
  }
  return kept;
}
