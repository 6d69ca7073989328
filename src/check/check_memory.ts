import type { MatSolution } from '../adjust/mat_summary.ts';
import type { PhotoIndex } from '../photo/photo.ts';
import type { TaggedView } from './tagged_views.ts';

/**
 * What earlier checks left: each photo as it was read, and adjustments of the mat. Each stands under all that it was
 * worked out from, so that a check that remembers says what one that remembers nothing says, to the last digit.
 */
export interface Remembered {
  /** the photo at this place of the shoot as it was read before, or read now */
  reading(photo: PhotoIndex, read: () => Promise<TaggedView>): Promise<TaggedView>;
  knows(photo: PhotoIndex): boolean;
  /** the adjustment of the same plain data as before, or made now */
  mat(from: unknown, adjust: () => MatSolution | undefined): MatSolution | undefined;
  knowsMat(from: unknown): boolean;
}

/** Of a check that stands alone. */
export const nothingRemembered: Remembered = {
  reading: (_, read) => read(),
  knows: () => false,
  mat: (_, adjust) => adjust(),
  knowsMat: () => false,
};

/** A walk is adjusted as a whole and in two halves, each perhaps twice; so many are kept, the last ones. */
const matsKept = 6;

/**
 * A memory for one check after the other. Ask it for what it knows of a shoot's photos by a name each that no other
 * bytes or file name share; what it knew of all other photos is let go.
 */
export function makeCheckMemory(): (photos: readonly string[]) => Remembered {
  let read = new Map<string, TaggedView>();
  const mats = new Map<string, MatSolution | undefined>();
  return (photos) => {
    const known = new Map([...read].filter(([name]) => photos.includes(name)));
    read = known;
    return {
      async reading(photo, readNow) {
        const name = photos[photo]!;
        const view = known.get(name) ?? (await readNow());
        known.set(name, view);
        return view;
      },
      knows: (photo) => known.has(photos[photo]!),
      mat(from, adjust) {
        const name = JSON.stringify(from);
        const mat = mats.has(name) ? mats.get(name) : adjust();
        // to the end of the line of those that are let go
        mats.delete(name);
        mats.set(name, mat);
        for (const oldest of [...mats.keys()].slice(0, -matsKept)) mats.delete(oldest);
        return mat;
      },
      knowsMat: (from) => mats.has(JSON.stringify(from)),
    };
  };
}
