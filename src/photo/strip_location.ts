import { bytesOf, textAt, tiffBlock } from './byte_view.ts';
import { crc32 } from './crc32.ts';
import { fileKind } from './file_kind.ts';
import { endOfImage, nextMarker, standsAlone, startOfScan } from './jpeg_header.ts';
import { keptExif } from './kept_exif.ts';
import { heifWithout } from './strip_heif.ts';

type Bytes = Uint8Array<ArrayBuffer>;

/**
 * The photo without anything that may say where it was taken, its picture data bit by bit as it was. What stays of the
 * metadata is a short list: how it is turned, focal length, camera, lens, exposure, time and colour profile. GPS, XMP,
 * IPTC, maker notes, comments and whatever a phone hangs behind the picture go. Undefined when the file is of a kind
 * (or so damaged) that nothing can be promised.
 */
export function withoutLocation(bytes: Uint8Array): Bytes | undefined {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  try {
    switch (fileKind(bytes)) {
      case 'jpeg':
        return jpegWithout(view);
      case 'png':
        return pngWithout(view);
      case 'webp':
        return webpWithout(view);
      case 'heic':
      case 'avif':
        return heifWithout(bytes);
      default:
        return undefined;
    }
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

function joined(parts: readonly Uint8Array[]): Bytes {
  const all = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

const text = (letters: string): Uint8Array => Uint8Array.from(letters, (letter) => letter.charCodeAt(0));

function bigEndian(value: number): Uint8Array {
  const bytes = new Uint8Array(4);
  new DataView(bytes.buffer).setUint32(0, value);
  return bytes;
}

/**
 * ITU-T T.81 annex B: tables, frames and scans stay; of the application segments JFIF, the colour profile and Adobe's.
 */
function jpegWithout(view: DataView): Bytes | undefined {
  const parts: Uint8Array[] = [bytesOf(view, 0, 2)];
  let at = 2;
  let inScan = false;
  let scans = 0;
  for (;;) {
    const next = nextMarker(view, at);
    if (inScan) parts.push(bytesOf(view, at, (next < 0 ? view.byteLength : next) - at));
    if (next < 0) break;
    const marker = view.getUint8(next + 1);
    at = next + 2;
    if (standsAlone(marker)) {
      parts.push(bytesOf(view, next, 2));
      continue;
    }
    if (marker === endOfImage) {
      parts.push(bytesOf(view, next, 2));
      break;
    }
    const length = view.getUint16(at);
    if (length < 2) return undefined;
    const segment = bytesOf(view, next, 2 + length);
    at += length;
    inScan = marker === startOfScan;
    if (inScan) scans++;
    if (pictureMarkers(marker)) parts.push(segment);
    else if (marker === 0xe1 && textAt(view, next + 4, 4) === 'Exif') {
      const exif = keptExif(tiffBlock(segment.subarray(4)));
      if (exif) parts.push(jpegExif(exif));
    } else {
      const described = pictureSegment(view, next, marker, segment);
      if (described) parts.push(described);
    }
  }
  return scans > 0 ? joined(parts) : undefined;
}

/** Frames, scans and their tables; other numbers may carry anything. */
const pictureMarkers = (marker: number): boolean =>
  (marker >= 0xc0 && marker <= 0xcf && marker !== 0xc8) || (marker >= 0xda && marker <= 0xdd);

/**
 * JFIF's and Adobe's segments without what may follow their fixed fields (a small picture of its own), and colour
 * profiles.
 */
function pictureSegment(view: DataView, at: number, marker: number, segment: Uint8Array): Uint8Array | undefined {
  if (marker === 0xe0 && textAt(view, at + 4, 5) === 'JFIF\0' && segment.length >= 18) {
    const plain = segment.slice(0, 18);
    plain.set([0, 16], 2);
    plain.set([0, 0], 16);
    return plain;
  }
  if (marker === 0xee && textAt(view, at + 4, 5) === 'Adobe' && segment.length >= 16) {
    const plain = segment.slice(0, 16);
    plain.set([0, 14], 2);
    return plain;
  }
  return marker === 0xe2 && textAt(view, at + 4, 12) === 'ICC_PROFILE\0' ? segment : undefined;
}

function jpegExif(tiff: Uint8Array): Uint8Array {
  const length = 2 + 6 + tiff.length;
  return joined([Uint8Array.of(0xff, 0xe1, length >> 8, length & 255), text('Exif\0\0'), tiff]);
}

/** Chunks that make up or colour the picture (W3C PNG, third edition, 2025); texts, times and private chunks go. */
const pngChunks: ReadonlySet<string> = new Set(
  'IHDR PLTE IDAT IEND tRNS cHRM gAMA iCCP sBIT sRGB cICP mDCV cLLI bKGD pHYs'.split(' '),
);

function pngWithout(view: DataView): Bytes | undefined {
  const parts: Uint8Array[] = [bytesOf(view, 0, 8)];
  for (let at = 8; at + 12 <= view.byteLength; ) {
    const length = view.getUint32(at);
    const kind = textAt(view, at + 4, 4);
    if (pngChunks.has(kind)) parts.push(bytesOf(view, at, 12 + length));
    const exif = kind === 'eXIf' && keptExif(tiffBlock(bytesOf(view, at + 8, length)));
    if (exif) parts.push(bigEndian(exif.length), text(kind), exif, bigEndian(crc32(text(kind), exif)));
    if (kind === 'IEND') return joined(parts);
    at += 12 + length;
  }
  return undefined;
}

const webpChunks: ReadonlySet<string> = new Set(['VP8 ', 'VP8L', 'VP8X', 'ALPH', 'ICCP']);

/** RFC 9649. */
function webpWithout(view: DataView): Bytes | undefined {
  const parts: Uint8Array[] = [];
  const chunk = (kind: string, content: Uint8Array) => {
    const head = new Uint8Array(8);
    head.set(text(kind));
    new DataView(head.buffer).setUint32(4, content.length, true);
    parts.push(head, content, new Uint8Array(content.length % 2));
  };
  const end = view.getUint32(4, true) + 8;
  if (end > view.byteLength) return undefined;
  let hasExif = false;
  for (let at = 12; at + 8 <= end; ) {
    const length = view.getUint32(at + 4, true);
    const kind = textAt(view, at, 4);
    // an animation is no photo, and its frames may hold anything
    if (kind === 'ANMF') return undefined;
    const content = bytesOf(view, at + 8, length);
    const exif = kind === 'EXIF' ? keptExif(tiffBlock(content)) : undefined;
    if (exif) chunk(kind, exif);
    else if (webpChunks.has(kind)) chunk(kind, kind === 'VP8X' ? content.slice() : content);
    hasExif ||= exif !== undefined;
    at += 8 + length + (length % 2);
  }
  const body = joined(parts);
  const whole = joined([text('RIFF'), new Uint8Array(4), text('WEBP'), body]);
  const out = new DataView(whole.buffer);
  out.setUint32(4, body.length + 4, true);
  // the first chunk's flags: 8 an EXIF chunk, 4 an XMP chunk
  if (textAt(out, 12, 4) === 'VP8X') whole[20] = (whole[20]! & ~(8 | 4)) | (hasExif ? 8 : 0);
  return whole;
}
