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
  /**
   * the part that the planes hold, in the photo's own pixels, where they no longer hold all of it; its left and top are
   * even, and its size takes the place of the photo's in what is said of the planes
   */
  held?: Rectangle;
  /** From EXIF, where it says: pixels of the upright photo along its longer side; good to 1 or 2 %. */
  focalPrior?: number;
  /** Camera, lens and zoom as EXIF words them: photos of the same key may share one lens model. */
  cameraKey?: string;
  /** When the photo was taken, as EXIF words it. */
  takenAt?: string;
}

/** A rectangle of a photo, whole pixels, inside it. */
export interface Rectangle {
  left: number;
  top: number;
  width: number;
  height: number;
}

/** The part of a photo whose pixels can be read. */
export const heldOf = ({ held, width, height }: Pick<Photo, 'held' | 'width' | 'height'>): Rectangle =>
  held ?? { left: 0, top: 0, width, height };

/** Takes what is held of a photo to keep, and hands it back as it can be looked at from then on. */
export type KeepHeld = (photo: Photo) => Photo;

/** Parts of a photo, or of what was read in it, that are kept until they are let go. */
export interface HeldParts {
  look: () => readonly Uint8Array[];
  letGo: () => void;
}

/** Takes such parts to keep. */
export type HoldParts = (parts: readonly Uint8Array[]) => HeldParts;

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

/**
 * A photo's place in the shoot's list. Not every photo could be placed, so views are counted on their own
 * (`ViewIndex`): the two don't pass for each other.
 */
export type PhotoIndex = number & { readonly placeIn?: 'photos' };

/** What a list gives back when it is counted by one kind of place. */
interface CountedBy<Index extends number, T> {
  map<U>(of: (value: T, index: Index) => U): U[];
  flatMap<U>(of: (value: T, index: Index) => U | readonly U[]): U[];
  forEach(use: (value: T, index: Index) => void): void;
  filter<U extends T>(keeps: (value: T, index: Index) => value is U): U[];
  filter(keeps: (value: T, index: Index) => unknown): T[];
  some(is: (value: T, index: Index) => unknown): boolean;
  reduce<U>(join: (before: U, value: T, index: Index) => U, start: U): U;
  entries(): IterableIterator<[Index, T]>;
  keys(): IterableIterator<Index>;
  indexOf(value: T): Index;
  findIndex(is: (value: T) => unknown): Index;
}

/** A list that is counted by one kind of place; any plain list will do for one. */
export type ListBy<Index extends number, T> = Omit<readonly T[], number | keyof CountedBy<Index, T>> &
  CountedBy<Index, T>;

/** A list with one value a photo of the shoot. */
export type PerPhoto<T> = ListBy<PhotoIndex, T> & { readonly [photo: PhotoIndex]: T };
