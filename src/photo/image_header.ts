/** What stands at the head of an image file, read without decoding it. */
export interface ImageHeader {
  /** pixels as stored, before any orientation is applied */
  width: number;
  height: number;
  /** the EXIF block: a TIFF structure, from its byte order mark on */
  exif?: Uint8Array;
  /** whether the file runs to its proper end */
  complete: boolean;
}
