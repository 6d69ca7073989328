import { lensFound } from '../adjust/lens_found.ts';
import { lensCount, type LensProfile, turnedLens } from '../adjust/lens_profile.ts';
import { adjustMat } from '../adjust/mat_adjustment.ts';
import type { TaggedPhoto } from '../adjust/mat_cameras.ts';
import { fieldShift, fieldSize } from '../geometry/lens_field.ts';
import type { Pixel } from '../geometry/vector.ts';
import { heldCamera } from '../photo/camera_facts.ts';
import type { Photo } from '../photo/photo.ts';
import { InputError } from '../plan/input_error.ts';
import { readTags, type Tag } from '../vision/tags.ts';
import type { Progress } from './place_photos.ts';
import { isCopy, type SeenTags } from './repeated_photos.ts';
import { matTags } from './tagged_views.ts';
import { longestEcho, shownName } from '../plan/shown_name.ts';

/** What photos must show of the mat before they tell a lens. */
const enough = {
  photos: 8,
  /** squares of the mat in each */
  tags: 6,
  /** corners in each ninth of the picture, over all photos */
  corners: 8,
  /** pixels: beyond, photos are blurred or something moved */
  corner: 0.6,
  /** relative standard uncertainty of the focal length: photos from straight above alone leave it open */
  focal: 0.003,
} as const;

/** More photos than this tell nothing more. */
const mostPhotos = 40;

/** Share of the whole that reading the photos takes. */
const readingShare = 0.8;

/** Characters of the camera's own name that a lens is called by: as many as its file's name may have. */
const longestName = 200;

/** The field is looked at in so many steps across the picture and down. */
const looks = 12;

/** One photo's squares, and what it says of its camera. */
interface LensPhoto extends SeenTags {
  file: string;
  camera: string;
  turns: number;
  focalPrior?: number;
}

/** A lens made from photos, and what is to be said of it in plain sentences. */
export interface MadeLens {
  profile: LensProfile;
  sentences: string[];
}

/**
 * A camera's lens from a dozen photos of two of the mat's pages, no rod on them: each pixel's ray, with the covariance
 * of all of it (the mat's own adjustment; its scale is not needed). Throws InputError, one sentence, where the photos
 * do not tell.
 */
export async function makeLens(
  count: number,
  load: (index: number) => Promise<Photo>,
  { name, madeAt, onProgress }: { name?: string; madeAt?: string; onProgress: (progress: Progress) => void },
): Promise<MadeLens> {
  if (count < enough.photos || count > mostPhotos)
    throw new InputError(
      `A lens is made from ${enough.photos} to ${mostPhotos} photos of two pages of the mat, and these are ${count}: a dozen is best.`,
    );
  const seen: LensPhoto[] = [];
  for (let i = 0; i < count; i++) {
    onProgress({ stage: `Reading photo ${i + 1} of ${count}`, done: (readingShare * i) / count });
    seen.push(await squaresOf(await load(i)));
  }
  onProgress({ stage: 'Working out the lens', done: readingShare });
  const made = lensFromSquares(seen, { name, madeAt });
  onProgress({ stage: 'Done', done: 1 });
  return made;
}

/** The squares of one photo; its pixels are not kept. Throws InputError where it does not say which camera took it. */
async function squaresOf(photo: Photo): Promise<LensPhoto> {
  const { file, width, height, cameraKey, focalPrior } = photo;
  const held = cameraKey === undefined ? undefined : heldCamera(cameraKey);
  if (!held)
    throw new InputError(
      cameraKey === undefined
        ? `${shownName(file)} does not say which camera took it: use the files as the camera wrote them, not sent on or edited.`
        : `${shownName(file)} is mirrored, left for right: turn mirroring off in the camera.`,
    );
  const reading = await readTags(photo);
  return { file, photo: { width, height }, reading, ...held, ...(focalPrior !== undefined && { focalPrior }) };
}

/** The lens that squares seen in photos of one camera tell. Throws InputError. */
export function lensFromSquares(
  all: readonly LensPhoto[],
  { name, madeAt }: { name?: string | undefined; madeAt?: string | undefined },
): MadeLens {
  const other = all.find(({ camera }) => camera !== all[0]!.camera);
  const of = (name: string) => shownName(name, longestEcho / 4);
  if (other)
    throw new InputError(
      `${of(other.file)} was taken by another camera or with another zoom than ${of(all[0]!.file)} (${of(other.camera)}; ${of(all[0]!.camera)}): a lens needs photos of one camera, all at one zoom and size.`,
    );
  const used = distinct(all.filter(({ reading }) => matTags(reading).length >= enough.tags));
  const { camera, turns } = all[0]!;
  const photos = used.map((photo) => uprightAs(photo, turns));
  if (used.length < enough.photos)
    throw new InputError(
      `Only ${used.length} of these ${all.length} photos show ${enough.tags} squares of the mat, each from another place: take ${enough.photos} or more, sharp, over two pages without a rod.`,
    );
  refuseEmptyParts(photos);
  const mat = adjustMat(photos, {});
  const placed = mat?.cameras.findIndex((own) => own) ?? -1;
  const found = mat && lensFound(mat, placed);
  if (!mat || !found || mat.moved || !(mat.levels.corner < enough.corner))
    throw new InputError(
      'These photos do not agree on where the squares lie: tape two pages down flat, hold the camera still, and take them again.',
    );
  const focalSigma = Math.sqrt(found.covariance[0]!);
  if (focalSigma > enough.focal * found.values[0]!)
    throw new InputError(
      'These photos all look straight down, which leaves the focal length open: take four or more with the camera tilted by a third of a right angle, each another way.',
    );
  const profile: LensProfile = {
    name: name ?? camera.slice(0, longestName),
    camera,
    ...(madeAt !== undefined && { madeAt }),
    photos: mat.cameras.filter(Boolean).length,
    corner: mat.levels.corner,
    ...found,
  };
  return { profile: turnedLens(profile, (4 - turns) % 4), sentences: sentencesOf(profile) };
}

function sentencesOf(profile: LensProfile): string[] {
  const { photos, corner, values, covariance } = profile;
  return [
    `Made from ${photos} photos whose corners were read to ${corner.toFixed(2)} pixels.`,
    `Focal length ${values[0]!.toFixed(0)} pixels, give or take ${(2 * Math.sqrt(covariance[0]!)).toFixed(0)}; beyond what the common lens model says it shifts the picture by up to ${farthestShift(profile).toFixed(1)} pixels.`,
  ];
}

/** The largest shift of the field, as looked for at places all over the picture, pixels. */
export function farthestShift({ grid, values }: LensProfile): number {
  const size = fieldSize(grid);
  const field = { grid, right: values.slice(lensCount, lensCount + size), down: values.slice(lensCount + size) };
  const steps = Array.from({ length: looks + 1 }, (_, i) => i / looks);
  const shifts = steps.flatMap((x) => steps.map((y) => fieldShift(field, x * grid.width, y * grid.height)));
  return Math.max(...shifts.map(([right, down]) => Math.hypot(right, down)));
}

/** Photos that are no copies of one another. */
function distinct(photos: readonly LensPhoto[]): LensPhoto[] {
  const kept: LensPhoto[] = [];
  for (const photo of photos) if (!kept.some((other) => isCopy(other, photo))) kept.push(photo);
  return kept;
}

/** A photo's squares as if it had been turned by so many quarter turns: all photos then share one lens. */
function uprightAs({ file, photo, reading, turns: own, focalPrior }: LensPhoto, turns: number): TaggedPhoto {
  let { width, height } = photo;
  let { tags } = reading;
  for (let k = 0; k < (turns - own + 4) % 4; k++) {
    const high = height;
    const turn = ([x, y]: Pixel): Pixel => [high - 1 - y, x];
    tags = tags.map((tag) => ({ ...tag, corners: tag.corners.map(turn) as unknown as Tag['corners'] }));
    [width, height] = [height, width];
  }
  return { file, width, height, tags, cameraKey: 'one', ...(focalPrior !== undefined && { focalPrior }) };
}

const ninths = [
  'upper left corner',
  'upper edge',
  'upper right corner',
  'left edge',
  'middle',
  'right edge',
  'lower left corner',
  'lower edge',
  'lower right corner',
];

/** Throws InputError where a part of the picture hardly shows a square: the lens would be guessed there. */
function refuseEmptyParts(photos: readonly TaggedPhoto[]): void {
  const counts = ninths.map(() => 0);
  for (const { tags, width, height } of photos)
    for (const [x, y] of tags.flatMap(({ corners }) => corners)) {
      const [column, row] = [(3 * x) / width, (3 * y) / height].map((part) =>
        Math.min(Math.max(Math.floor(part), 0), 2),
      );
      counts[3 * row! + column!]!++;
    }
  const empty = counts.findIndex((count) => count < enough.corners);
  if (empty >= 0)
    throw new InputError(
      `Hardly a square shows in the ${ninths[empty]} of these pictures, so the lens stays unknown there: take two or three more with the pages filling that part.`,
    );
}
