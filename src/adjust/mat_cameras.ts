import type { Intrinsics, Pose } from '../geometry/camera.ts';
import { fieldGridOf, fieldSize } from '../geometry/lens_field.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import type { Tag } from '../vision/tags.ts';
import type { CameraIndex } from './camera_block.ts';
import { type LensProfile, lensIntrinsics, lensPrior } from './lens_profile.ts';
import type { ParameterVector } from './parameters.ts';
import { prior } from './prior.ts';

/** What one photo brings to the adjustment. */
export interface TaggedPhoto {
  file: string;
  width: number;
  height: number;
  tags: readonly Tag[];
  /** pixels, good to 1 or 2 % */
  focalPrior?: number;
  /** photos of one key share a lens */
  cameraKey?: string;
  /** what is kept of this photo's lens, turned as the photo is */
  lens?: LensProfile;
}

/** Standard deviations of what is known of a camera beforehand; each with its reason. */
export const sigmas = {
  /** EXIF's focal length, relative */
  focalFromExif: 0.02,
  /** none given: phones' main cameras span 24 to 30 mm equivalent */
  focalUnknown: 0.2,
  /** principal point off the photo's centre, share of the longer side */
  centre: 0.012,
  radial: [0.1, 0.1, 0.05],
  tangential: 0.001,
  /** autofocus breathing between photos of one walk, relative */
  ownFocal: 0.001,
  /** image stabilisation between photos of one walk, pixels at so many across */
  ownCentre: 1.5,
  across: 4000,
  bleed: 0.04,
} as const;

/** The adjustment's unknowns while they are gathered. */
export interface Unknowns {
  parameters: ParameterVector;
  /** heights and fields, which wait until cameras and tiles stand */
  shape: Set<number>;
  priors: ResidualBlock[];
}

/** Where the unknowns of a lens stand that photos share, and what is kept of it from photos taken before. */
export interface SharedLens extends Pick<CameraIndex, 'lens' | 'field'> {
  kept?: { profile: LensProfile; block: ResidualBlock };
}

/** Phones' main lens as the 35 mm film's would be, mm, and the diagonal of its frame of 36 by 24 mm. */
const usualLens = { focal: 26, diagonal: 43.27 } as const;
const usualFocal = (width: number, height: number) =>
  (usualLens.focal / usualLens.diagonal) * Math.hypot(width, height);

/** A photo's intrinsics before any tag is looked at: as kept, or as EXIF has the focal length, or usual. */
export const guessLens = ({ lens, focalPrior, width, height }: TaggedPhoto): Intrinsics =>
  lens
    ? lensIntrinsics(lens)
    : {
        focal: focalPrior ?? usualFocal(width, height),
        centre: [(width - 1) / 2, (height - 1) / 2],
        distortion: [0, 0, 0, 0, 0],
      };

/** Unknowns of a shape, heights or a field: as kept, or 0 to start from. */
export function addShape({ parameters, shape }: Unknowns, start: ArrayLike<number>): number {
  const at = parameters.add(start);
  for (let i = 0; i < start.length; i++) shape.add(at + i);
  return at;
}

/** What a photo's white bleeds over black before the fit tells, mm. */
const usualBleed = 0.01;

/** One photo's camera; its lens is that of all photos of its key. */
export function addCamera(
  unknowns: Unknowns,
  lenses: Map<string, SharedLens>,
  photo: TaggedPhoto,
  guess: Intrinsics,
  pose: Pose,
): CameraIndex {
  const { parameters, priors } = unknowns;
  const key = `${photo.cameraKey ?? 'unknown'} ${photo.width} x ${photo.height}`;
  const shared = lenses.get(key) ?? addLens(unknowns, photo, guess);
  lenses.set(key, shared);
  const own = parameters.add([0, 0, 0]);
  const ownCentre = (sigmas.ownCentre * Math.max(photo.width, photo.height)) / sigmas.across;
  priors.push(prior(own, 0, sigmas.ownFocal), prior(own + 1, 0, ownCentre), prior(own + 2, 0, ownCentre));
  const bleed = parameters.add([usualBleed]);
  priors.push(prior(bleed, usualBleed, sigmas.bleed));
  const { lens, field } = shared;
  return { lens, field, own, pose: parameters.add([...pose.rotation, ...pose.translation]), bleed };
}

function addLens(unknowns: Unknowns, photo: TaggedPhoto, { focal, centre, distortion, field }: Intrinsics): SharedLens {
  const { parameters, priors } = unknowns;
  const lens = parameters.add([focal, ...centre, ...distortion]);
  const grid = field?.grid ?? fieldGridOf(photo.width, photo.height);
  const at = addShape(
    unknowns,
    field ? [...Array.from(field.right), ...Array.from(field.down)] : new Float64Array(2 * fieldSize(grid)),
  );
  const shared = { lens, field: { grid, at } };
  if (photo.lens) return { ...shared, kept: { profile: photo.lens, block: lensPrior(photo.lens, lens, at) } };
  const longer = Math.max(photo.width, photo.height);
  priors.push(
    prior(lens, focal, focal * (photo.focalPrior ? sigmas.focalFromExif : sigmas.focalUnknown)),
    prior(lens + 1, centre[0], sigmas.centre * longer),
    prior(lens + 2, centre[1], sigmas.centre * longer),
    prior(lens + 3, 0, sigmas.radial[0]),
    prior(lens + 4, 0, sigmas.radial[1]),
    prior(lens + 5, 0, sigmas.tangential),
    prior(lens + 6, 0, sigmas.tangential),
    prior(lens + 7, 0, sigmas.radial[2]),
  );
  return shared;
}
