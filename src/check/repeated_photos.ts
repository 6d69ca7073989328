import { adjustMat } from '../adjust/mat_adjustment.ts';
import type { TaggedPhoto } from '../adjust/mat_cameras.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { cameraCentre } from '../geometry/camera.ts';
import type { Pixel } from '../geometry/vector.ts';
import { norm, subtract } from '../geometry/vector.ts';
import type { MatReadings, Shoot } from '../plan/shoot.ts';
import { nothingRemembered } from './check_memory.ts';
import type { Begun, Hands } from './hands.ts';
import { type KnownBefore, lensOf } from './known_before.ts';
import { matTags, type TaggedView } from './tagged_views.ts';
import type { PerPhoto, PhotoIndex } from '../photo/photo.ts';
import type { TagReading } from '../vision/tags.ts';

/** When a photo shows nothing that another one does not show already. */
export const repeatLimits = {
  /**
   * corners of shared tags agree this well (root mean square, pixels of the larger photo) after one shift and scale: a
   * copy, saved anew, made smaller or cropped. Corners of one picture saved twice differ by 0.1 to 0.4; a hand can't
   * hold a phone so still.
   */
  cornerMiss: 0.7,
  /** photos of one size are copies only where nothing moved, pixels: a camera slid along the mat moves by hundreds */
  shift: 1.5,
  /**
   * baseline over height: below it two photos look from one direction (1.7 degrees). A ring's height would then be read
   * to about 1 mm at best and its place with it, while the number of photos feigns certainty; a walk's photos are 0.13
   * and more apart, bursts and tripods under 0.02.
   */
  parallax: 0.03,
  /**
   * share of the tags in common from which two photos show the same stretch: below it a turned camera sees another one
   */
  sharedTags: 0.5,
  /** corners that must be shared for a copy to be told: those of two tags; and a scale this near 1 is none */
  corners: 8,
  scale: 1e-3,
};

/** Cameras, mat and photos once those that show nothing new are set aside. */
export interface DistinctPhotos {
  tagged: TaggedView[];
  mat: MatSolution | undefined;
}

/**
 * Places the cameras by the photos that each show something new. A photo that is a copy of another one, or was taken
 * from the same place, is set aside: measured as well, it would add to the certainty and nothing to the knowledge. Of
 * such photos the one counts in which something was pointed out by hand, then the one with most tags, then the largest.
 */
export function placeDistinct(
  tagged: PerPhoto<TaggedView>,
  shoot: Pick<Shoot, 'mat' | 'byHand'>,
  known: KnownBefore = {},
): DistinctPhotos {
  const pointed = new Set((shoot.byHand ?? []).map(({ photo }) => photo));
  const inOrder = [...tagged.keys()].toSorted((a, b) => worth(tagged[b]!, pointed) - worth(tagged[a]!, pointed));
  const once = setAside(tagged, inOrder, 'copy', (a, b) => isCopy(tagged[a]!, tagged[b]!));
  const mat = adjusted(once, shoot, known);
  if (!mat) return { tagged: once, mat };
  const apart = setAside(once, inOrder, 'same-place', (a, b) => isSamePlace(once, mat, a, b));
  const nothingNew = apart.every(({ repeats }, i) => repeats === once[i]!.repeats);
  return { tagged: apart, mat: nothingNew ? mat : adjusted(apart, shoot, known) };
}

const adjusted = (
  tagged: PerPhoto<TaggedView>,
  shoot: Pick<Shoot, 'mat' | 'byHand'>,
  known: KnownBefore,
): MatSolution | undefined => adjustOnce(taggedPhotos(tagged, known), shoot.mat, known);

/** The adjustment of the mat, unless the same one is remembered. */
export function adjustOnce(
  photos: readonly TaggedPhoto[],
  readings: MatReadings,
  { mat, remembered = nothingRemembered }: KnownBefore,
): MatSolution | undefined {
  return remembered.mat({ photos, readings, mat }, () => adjustMat(photos, readings, mat));
}

/** The same, begun where that holds nothing up. */
export function beginAdjusting(
  photos: readonly TaggedPhoto[],
  readings: MatReadings,
  known: KnownBefore,
  hands: Hands,
): Begun<MatSolution | undefined> {
  const { mat, remembered = nothingRemembered } = known;
  const from = { photos, readings, mat };
  if (remembered.knowsMat(from)) return async () => adjustOnce(photos, readings, known);
  const begun = hands.begin('mat', { photos, readings, kept: mat });
  return async () => {
    const solved = await begun();
    return remembered.mat(from, () => solved);
  };
}

/** What each photo brings to the adjustment: its tags (none where it repeats another), and what is kept of its lens. */
export const taggedPhotos = (tagged: PerPhoto<TaggedView>, { lenses }: KnownBefore): TaggedPhoto[] =>
  tagged.map(({ photo, reading, repeats }) => {
    const { file, width, height, focalPrior, cameraKey } = photo;
    const lens = lensOf(photo, lenses);
    return {
      file,
      width,
      height,
      tags: repeats ? [] : reading.tags,
      ...(focalPrior !== undefined && { focalPrior }),
      ...(cameraKey !== undefined && { cameraKey }),
      ...(lens && { lens }),
    };
  });

/** Hand-set points before tags before pixels: a photo has fewer tags than the one, fewer pixels than the other. */
const order = { pointed: 1e6, pixels: 1e9 } as const;

const worth = ({ photo, reading }: TaggedView, pointed: ReadonlySet<string>): number =>
  (pointed.has(photo.file) ? order.pointed : 0) + reading.tags.length + (photo.width * photo.height) / order.pixels;

function setAside(
  tagged: PerPhoto<TaggedView>,
  inOrder: readonly number[],
  how: 'copy' | 'same-place',
  alike: (a: number, b: number) => boolean,
): TaggedView[] {
  const marked = [...tagged];
  const kept: number[] = [];
  for (const i of inOrder) {
    if (marked[i]!.repeats) continue;
    const first = kept.find((k) => alike(k, i));
    if (first === undefined) kept.push(i);
    else marked[i] = { ...marked[i]!, repeats: { file: tagged[first]!.photo.file, how } };
  }
  return marked;
}

/** A photo's size and the squares read in it. */
export interface SeenTags {
  photo: { width: number; height: number };
  reading: TagReading;
}

/** Whether one photo is the other one saved anew, made smaller or cropped. */
export function isCopy(a: SeenTags, b: SeenTags): boolean {
  const inB = new Map(matTags(b.reading).map((tag) => [tag.id, tag.corners]));
  const pairs = matTags(a.reading).flatMap(({ id, corners }) => {
    const others = inB.get(id);
    return others ? corners.map((corner, k): [Pixel, Pixel] => [corner, others[k]!]) : [];
  });
  if (pairs.length < repeatLimits.corners) return false;
  const { scale, shift, miss } = shiftAndScale(pairs);
  // in pixels of the larger photo, whichever of the two that is
  const larger = Math.max(1, 1 / scale);
  if (miss * larger > repeatLimits.cornerMiss) return false;
  const sameSize = a.photo.width === b.photo.width && a.photo.height === b.photo.height;
  return !sameSize || (Math.hypot(...shift) < repeatLimits.shift && Math.abs(scale - 1) < repeatLimits.scale);
}

/** Least squares of b = scale a + shift, and what it leaves, root mean square over both coordinates. */
function shiftAndScale(pairs: readonly [Pixel, Pixel][]): { scale: number; shift: Pixel; miss: number } {
  const n = pairs.length;
  const mean = (side: 0 | 1, axis: 0 | 1) => pairs.reduce((sum, pair) => sum + pair[side][axis], 0) / n;
  const [ax, ay, bx, by] = [mean(0, 0), mean(0, 1), mean(1, 0), mean(1, 1)];
  let across = 0;
  let own = 0;
  for (const [a, b] of pairs) {
    across += (a[0] - ax) * (b[0] - bx) + (a[1] - ay) * (b[1] - by);
    own += (a[0] - ax) ** 2 + (a[1] - ay) ** 2;
  }
  const scale = across / own;
  const shift: Pixel = [bx - scale * ax, by - scale * ay];
  const squares = pairs.reduce(
    (sum, [a, b]) => sum + (scale * a[0] + shift[0] - b[0]) ** 2 + (scale * a[1] + shift[1] - b[1]) ** 2,
    0,
  );
  return { scale, shift, miss: Math.sqrt(squares / (2 * n)) };
}

/** Whether two photos show the same stretch from the same direction. */
function isSamePlace(tagged: PerPhoto<TaggedView>, mat: MatSolution, a: PhotoIndex, b: PhotoIndex): boolean {
  const [one, other] = [mat.cameras[a], mat.cameras[b]];
  if (!one || !other) return false;
  const [from, to] = [cameraCentre(one), cameraCentre(other)];
  const baseline = norm(subtract(to, from));
  if (baseline > repeatLimits.parallax * Math.min(from[2], to[2])) return false;
  const ids = new Set(matTags(tagged[a]!.reading).map(({ id }) => id));
  const seen = matTags(tagged[b]!.reading);
  const shared = seen.filter(({ id }) => ids.has(id)).length;
  return shared >= repeatLimits.sharedTags * Math.min(ids.size, seen.length);
}
