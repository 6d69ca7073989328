/** What a file is, told by its first bytes and never by its name. */
export type FileKind =
  | 'jpeg'
  | 'png'
  | 'webp'
  | 'heic'
  | 'avif'
  | 'gif'
  | 'tiff'
  | 'bmp'
  | 'pdf'
  | 'zip'
  | 'video'
  | 'text'
  | 'empty'
  | 'unknown';

const ascii = (bytes: Uint8Array, from: number, length: number): string =>
  String.fromCharCode(...bytes.subarray(from, from + length));

/** ISO base media files (ISO/IEC 14496-12) begin with an `ftyp` box that lists brands; a new phone brings new ones. */
function isoMediaKind(bytes: Uint8Array): FileKind {
  const size = ((bytes[0]! << 24) | (bytes[1]! << 16) | (bytes[2]! << 8) | bytes[3]!) >>> 0;
  const brands = [ascii(bytes, 8, 4)];
  for (let i = 16; i + 4 <= Math.min(size, bytes.length, 256); i += 4) brands.push(ascii(bytes, i, 4));
  if (brands.some((brand) => brand === 'avif' || brand === 'avis')) return 'avif';
  if (brands.some((brand) => /^(?:hei|hev|mif|msf|mia)/.test(brand))) return 'heic';
  return 'video';
}

function isText(bytes: Uint8Array): boolean {
  const head = bytes.subarray(0, 512);
  if (head.some((byte) => byte < 9 || (byte > 13 && byte < 32))) return false;
  const cleanStart = new TextDecoder().decode(head);
  // A character cut in two by the 512 bytes may decode as one replacement mark at the very end.
  return !cleanStart.slice(0, -1).includes('\uFFFD');
}

/** The kind of a file from its first bytes. */
export function fileKind(bytes: Uint8Array): FileKind {
  if (bytes.length === 0) return 'empty';
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && (bytes.length < 3 || bytes[2] === 0xff)) return 'jpeg';
  const four = ascii(bytes, 0, 4);
  if (four === '\x89PNG') return 'png';
  if (four === 'RIFF') return ascii(bytes, 8, 4) === 'WEBP' ? 'webp' : 'video';
  if (four === 'GIF8') return 'gif';
  if (four === 'II*\0' || four === 'MM\0*') return 'tiff';
  if (four === '%PDF') return 'pdf';
  if (four === 'PK\x03\x04' || four === 'PK\x05\x06') return 'zip';
  if (ascii(bytes, 4, 4) === 'ftyp') return isoMediaKind(bytes);
  if (isText(bytes)) return 'text';
  if (four.startsWith('BM')) return 'bmp';
  return 'unknown';
}
