import type { Tag } from '../vision/tags.ts';

/**
 * Where a photo shows a few of its squares: tag, x and y of its first corner, pixels. No hand holds a phone so again.
 */
export type PhotoSign = readonly (readonly [number, number, number])[];

const squares = 3;

/** Two photos of this sign are one, saved anew or not, pixels. */
const same = 1.5;

const byId = (tags: readonly Tag[]): Tag[] => tags.toSorted((a, b) => a.id - b.id);

/** A photo's sign by its tags. */
export const signOf = (tags: readonly Tag[]): PhotoSign =>
  byId(tags)
    .slice(0, squares)
    .map(({ id, corners }) => [id, Math.round(10 * corners[0][0]) / 10, Math.round(10 * corners[0][1]) / 10] as const);

/** Whether tags are those of the photo with this sign. */
export const hasSign = (tags: readonly Tag[], sign: PhotoSign): boolean =>
  sign.length === squares &&
  sign.every(([id, x, y]) => {
    const corner = tags.find((tag) => tag.id === id)?.corners[0];
    return corner !== undefined && Math.hypot(corner[0] - x, corner[1] - y) < same;
  });
