/** Bytes of a view, without copying; what lies past its end is left out. */
export function bytesOf(view: DataView, from: number, length: number): Uint8Array {
  const start = Math.min(Math.max(from, 0), view.byteLength);
  const end = Math.min(Math.max(from + length, start), view.byteLength);
  return new Uint8Array(view.buffer, view.byteOffset + start, end - start);
}

/** `length` bytes as Latin text. */
export const textAt = (view: DataView, from: number, length: number): string =>
  String.fromCharCode(...bytesOf(view, from, length));

/** The TIFF structure in an EXIF payload, which some writers open with "Exif" and two zero bytes. */
export function tiffBlock(payload: Uint8Array): Uint8Array {
  const prefixed = payload.length > 6 && String.fromCharCode(...payload.subarray(0, 4)) === 'Exif';
  return prefixed ? payload.subarray(6) : payload;
}
