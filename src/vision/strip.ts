import type { Stretch } from '../plan/stretch.ts';
import { axisTangent, type BlankAxis, type CrossSection, crossSection } from '../geometry/blank_axis.ts';
import { brown, makeBrownImage } from '../geometry/brown.ts';
import { type Camera, cameraCentre, distort, project } from '../geometry/camera.ts';
import { fieldShift } from '../geometry/lens_field.ts';
import { addScaled, dot, scale, subtract, transform, unit, type Vector3 } from '../geometry/vector.ts';
import { isInPhoto, withinCentres } from '../geometry/in_photo.ts';
import { heldOf, type ListBy, type Photo } from '../photo/photo.ts';
import { colourPlanes, halfSize, lumaPlane, samplePlane } from './sampling.ts';

/** One photo with the camera that took it. */
export interface View {
  photo: Photo;
  camera: Camera;
}

/** A view's place in the list of those that the adjustment placed; see `PhotoIndex`. */
export type ViewIndex = number & { readonly placeIn?: 'views' };

/** A list with one value a view. */
export type PerView<T> = ListBy<ViewIndex, T> & { readonly [view: ViewIndex]: T };

/**
 * The side of the blank that one photo sees, straightened: column c shows arc length `from + c * step` (mm); row k
 * shows the surface at across-width place `across[k]`, the sine of the roll angle away from the direction that faces
 * the camera (0 = facing it, -1 and 1 = the outlines; positive toward larger roll). The channels are rows x columns,
 * row by row, 0..255, NaN where the photo does not reach.
 */
export interface Strip {
  from: number;
  step: number;
  columns: number;
  across: readonly number[];
  luma: Float32Array;
  blueDifference: Float32Array;
  redDifference: Float32Array;
  /** per column: roll (degrees) of the direction toward the camera, as in `rollDirection` */
  facing: Float32Array;
  /** per column: photo pixels per mm of arc length */
  pixelsPerMm: Float32Array;
  /** per column: mm that a point moves along when it is really 1 mm nearer to the camera's side of the axis */
  parallax: Float32Array;
}

/** Roll (degrees) of the direction from the axis toward the camera. */
export function facingRoll(section: CrossSection, centre: Vector3): number {
  const d = subtract(centre, section.point);
  return (Math.atan2(dot(d, section.right), dot(d, section.up)) * 180) / Math.PI;
}

/** What a camera is taken to see of the blank. */
const shown = {
  /** mm between looks along, and the shortest stretch worth anything */
  every: 2,
  shortest: 4,
  /** tangent off the camera's axis: farther out a lens model may fold back into its frame, and no phone sees there */
  widest: 1.5,
  /** pixels round a stretch unless asked otherwise, and samples a mm of a strip */
  margin: 8,
  samplesPerMm: 10,
  /** seen along the axis within this cosine, a place's height moves it along without bound: none is told then */
  endOn: 1e-3,
} as const;

/**
 * The stretch of the blank between `range` that shows inside a photo with at least `margin` pixels around it, or
 * undefined. A blank that leaves the photo and comes back is cut at the first leave (photos are convex, so it does
 * not).
 */
export function visibleStretch(
  view: View,
  axis: BlankAxis,
  range: Stretch,
  margin: number = shown.margin,
): Stretch | undefined {
  const { photo, camera } = view;
  const { matrix, pose, intrinsics } = camera;
  const clear = withinCentres(margin);
  let from: number | undefined;
  let to = range.from;
  for (let s = range.from; s <= range.to; s += shown.every) {
    const c = transform(matrix, crossSection(axis, s).point);
    const z = c[2] + pose.translation[2];
    const x = (c[0] + pose.translation[0]) / z;
    const y = (c[1] + pose.translation[1]) / z;
    const ahead = z > 1 && Math.hypot(x, y) < shown.widest;
    if (ahead && isInPhoto(photo, distort(intrinsics, x, y), clear)) {
      from ??= s;
      to = s;
    } else if (from !== undefined) break;
  }
  return from === undefined || to - from < shown.shortest ? undefined : { from, to };
}

function emptyStrip(range: Stretch, across: readonly number[], samplesPerMm: number): Strip {
  const columns = Math.max(Math.round((range.to - range.from) * samplesPerMm) + 1, 1);
  const size = columns * across.length;
  return {
    from: range.from,
    step: 1 / samplesPerMm,
    columns,
    across,
    luma: new Float32Array(size),
    blueDifference: new Float32Array(size),
    redDifference: new Float32Array(size),
    facing: new Float32Array(columns),
    pixelsPerMm: new Float32Array(columns),
    parallax: new Float32Array(columns),
  };
}

/** One cross-section of the blank as a camera has it. */
interface SectionInView {
  /** as in `Strip` */
  facing: number;
  pixelsPerMm: number;
  parallax: number;
  /** mm */
  radius: number;
  /**
   * in the camera's directions: the axis point (without the camera's translation), the tangent, toward the camera,
   * sideways
   */
  origin: Vector3;
  along: Vector3;
  lift: Vector3;
  side: Vector3;
  /** pixels that the lens's field moves it by: over a millimetre of blank that does not change */
  shift: readonly [number, number];
}

function sectionInView(camera: Camera, axis: BlankAxis, s: number): SectionInView {
  const { matrix, pose, intrinsics } = camera;
  const centre = cameraCentre(camera);
  const section = crossSection(axis, s);
  const facing = facingRoll(section, centre);
  const turn = (facing * Math.PI) / 180;
  const toward = addScaled(scale(section.up, Math.cos(turn)), section.right, Math.sin(turn));
  const sideways = addScaled(scale(section.up, -Math.sin(turn)), section.right, Math.cos(turn));
  const sight = unit(subtract(centre, section.point));
  const nearer = dot(sight, toward);
  const depth = dot([matrix[6], matrix[7], matrix[8]], section.point) + pose.translation[2];
  const middlePixel = intrinsics.field && project(camera, section.point);
  return {
    facing,
    pixelsPerMm: (intrinsics.focal / depth) * Math.sqrt(Math.max(1 - dot(sight, section.along) ** 2, 0)),
    parallax: nearer > shown.endOn ? dot(sight, section.along) / nearer : 0,
    radius: section.radius,
    origin: transform(matrix, section.point),
    along: transform(matrix, axisTangent(axis, s)),
    lift: transform(matrix, toward),
    side: transform(matrix, sideways),
    shift: middlePixel ? fieldShift(intrinsics.field!, middlePixel[0], middlePixel[1]) : [0, 0],
  };
}

/**
 * Resamples a photo over the visible side of the blank's surface (bilinear). Other things standing before the blank
 * show where they stand. `across` as in `Strip`; `samplesPerMm` along.
 */
export function straighten(
  view: View,
  axis: BlankAxis,
  range: Stretch,
  across: readonly number[],
  samplesPerMm: number = shown.samplesPerMm,
): Strip {
  const { photo, camera } = view;
  const { pose, intrinsics } = camera;
  const image = makeBrownImage();
  const strip = emptyStrip(range, across, samplesPerMm);
  const { step, columns } = strip;
  const held = heldOf(photo);
  const planes = { luma: lumaPlane(photo), ...colourPlanes(photo, 'nearest') };
  const outward = across.map((w) => Math.sqrt(Math.max(1 - w * w, 0)));
  const t = pose.translation;
  // Cross-sections turn slowly: one a millimetre, the columns between share its directions and move along its tangent.
  for (let first = 0; first < columns; first += samplesPerMm) {
    const middle = range.from + (first + (samplesPerMm - 1) / 2) * step;
    const { facing, pixelsPerMm, parallax, radius, origin, along, lift, side, shift } = sectionInView(
      camera,
      axis,
      middle,
    );
    for (let c = first; c < Math.min(first + samplesPerMm, columns); c++) {
      const ahead = range.from + c * step - middle;
      strip.facing[c] = facing;
      strip.pixelsPerMm[c] = pixelsPerMm;
      strip.parallax[c] = parallax;
      for (let k = 0; k < across.length; k++) {
        const h = radius * outward[k]!;
        const w = radius * across[k]!;
        const z = origin[2] + along[2] * ahead + lift[2] * h + side[2] * w + t[2];
        brown(
          intrinsics.distortion,
          (origin[0] + along[0] * ahead + lift[0] * h + side[0] * w + t[0]) / z,
          (origin[1] + along[1] * ahead + lift[1] * h + side[1] * w + t[1]) / z,
          image,
        );
        const x = intrinsics.focal * image.x + intrinsics.centre[0] + shift[0] - held.left;
        const y = intrinsics.focal * image.y + intrinsics.centre[1] + shift[1] - held.top;
        const i = k * columns + c;
        const luma = samplePlane(planes.luma, x, y);
        const hx = halfSize(x);
        const hy = halfSize(y);
        const seen = Number.isFinite(luma);
        strip.luma[i] = luma;
        strip.blueDifference[i] = seen ? samplePlane(planes.blue, hx, hy) : Number.NaN;
        strip.redDifference[i] = seen ? samplePlane(planes.red, hx, hy) : Number.NaN;
      }
    }
  }
  return strip;
}

/** `count` across-width places evenly from -limit to limit. */
export const acrossPlaces = (count: number, limit: number): number[] =>
  Array.from({ length: count }, (_, k) => (count === 1 ? 0 : -limit + (2 * limit * k) / (count - 1)));
