/**
 * A photo as the measuring sees it: upright (EXIF orientation applied once), luma at full size and the two colour
 * differences at half size, as JPEG itself keeps them (ITU-R BT.601 full range, 128 = no colour).
 */
export interface Photo {
  file: string;
  width: number;
  height: number;
  /** width x height, row by row, 0..255 */
  luma: Uint8Array;
  /** Cb and Cr, ceil(width / 2) x ceil(height / 2) each */
  blueDifference: Uint8Array;
  redDifference: Uint8Array;
  /** From EXIF, where it says: pixels of the upright photo along its longer side; good to 1 or 2 %. */
  focalPrior?: number;
  /** Camera, lens and zoom as EXIF words them: photos of the same key may share one lens model. */
  cameraKey?: string;
  /** When the photo was taken, as EXIF words it. */
  takenAt?: string;
}

/** A photo file as it was handed over, not yet looked at. */
export interface PhotoFile {
  name: string;
  bytes: Uint8Array;
}

/** An RGBA picture to show, row by row, 4 bytes a pixel. */
export interface Picture {
  width: number;
  height: number;
  rgba: Uint8ClampedArray<ArrayBuffer>;
}
