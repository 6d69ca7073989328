import type { Exif } from './exif.ts';
import type { Photo } from './photo.ts';

/** Diagonal of 36 x 24 mm film, mm. */
const filmDiagonal = Math.hypot(36, 24);

/**
 * What the adjustment may take from EXIF: a starting focal length, which photos share a lens, and when it was taken.
 *
 * @param width stored pixels, before orientation; the focal length does not care which way the photo is turned
 */
export function cameraFacts(
  exif: Exif,
  width: number,
  height: number,
): Pick<Photo, 'focalPrior' | 'cameraKey' | 'takenAt'> {
  const focalPrior = focalInPixels(exif, width, height);
  const cameraKey = keyOf(exif, width, height);
  return {
    ...(focalPrior !== undefined && { focalPrior }),
    ...(cameraKey !== undefined && { cameraKey }),
    ...(exif.takenAt !== undefined && { takenAt: exif.takenAt }),
  };
}

/**
 * Focal length in pixels.
 *
 * From the 35 mm equivalent f35 (mm): f = f35 * hypot(width, height) / hypot(36, 24), since equivalents compare the
 * angle over the diagonal (CIPA DCG-001). f35 is written as a whole number, so at 26 mm it is good to 0.5 mm, 2 %, and
 * a lens moves by about 1 % more as it focuses close. The diagonal must be the sensor's own: a photo cropped to 16:9 or
 * to a square tells a wrong one, so only shapes from 4:3 to 3:2 are believed, and none that was zoomed in software or
 * whose size is out of shape with what its camera wrote.
 *
 * From focal length (mm) times the sensor's pixels a millimetre, where the camera states both: exact under cropping,
 * but some writers put nonsense there, so it must agree with the 35 mm equivalent to 10 % where both are given.
 */
function focalInPixels(exif: Exif, width: number, height: number): number | undefined {
  const { digitalZoom = 1, pixelWidth, pixelHeight } = exif;
  if (digitalZoom > 1.01) return undefined;
  const long = Math.max(width, height);
  const short = Math.min(width, height);
  let resized = 1;
  if (pixelWidth !== undefined && pixelHeight !== undefined) {
    const writtenLong = Math.max(pixelWidth, pixelHeight);
    const writtenShort = Math.min(pixelWidth, pixelHeight);
    if (Math.abs((long * writtenShort) / (short * writtenLong) - 1) > 0.01) return undefined;
    resized = long / writtenLong;
  }
  const sensorShape = long / short > 1.3 && long / short < 1.53;
  const fromFilm =
    exif.focalLengthIn35mm !== undefined && sensorShape
      ? (exif.focalLengthIn35mm * Math.hypot(width, height)) / filmDiagonal
      : undefined;
  const fromSensor =
    exif.focalLength !== undefined && exif.focalPlaneResolution !== undefined
      ? exif.focalLength * exif.focalPlaneResolution * resized
      : undefined;
  const agree = fromFilm !== undefined && fromSensor !== undefined && Math.abs(fromSensor / fromFilm - 1) < 0.1;
  const focal = agree ? fromSensor : (fromFilm ?? fromSensor);
  // Wider than 125 degrees or narrower than 7: no camera this is meant for.
  return focal !== undefined && focal > 0.25 * long && focal < 8 * long ? focal : undefined;
}

/**
 * Camera, lens, focal length, zoom, size and the way it was held: photos that agree in all of it may share one lens
 * model. The way it was held is part of it because the principal point turns with the photo.
 */
function keyOf(exif: Exif, width: number, height: number): string | undefined {
  if (exif.model === undefined) return undefined;
  const { make, model, lens, focalLength, focalLengthIn35mm, digitalZoom = 1, orientation = 1 } = exif;
  const camera = make === undefined || model.startsWith(make) ? model : `${make} ${model}`;
  const parts = [
    camera,
    lens,
    focalLength !== undefined && `${focalLength.toFixed(2)} mm`,
    focalLengthIn35mm !== undefined && `${focalLengthIn35mm} mm equivalent`,
    digitalZoom > 1.01 && `zoom ${digitalZoom.toFixed(2)}`,
    `${width} x ${height}`,
    `orientation ${orientation}`,
  ];
  return parts.filter((part) => typeof part === 'string').join(', ');
}

/** Quarter turns clockwise that bring a stored picture upright, by EXIF's orientation; the others mirror it. */
const quarterTurns: Readonly<Record<string, number>> = { 1: 0, 6: 1, 3: 2, 8: 3 };

/**
 * The camera of a photo's key, however it was held, and the quarter turns clockwise that brought the photo upright;
 * undefined for a mirrored photo.
 */
export function heldCamera(key: string): { camera: string; turns: number } | undefined {
  const [, camera = key, orientation = '1'] = /^(.*), orientation (\d)$/s.exec(key) ?? [];
  const turns = quarterTurns[orientation];
  return turns === undefined ? undefined : { camera, turns };
}
