import { z } from 'zod';
import { fieldGridOf, fieldSize } from '../geometry/lens_field.ts';
import { fromTriangle, triangleOf } from '../numerics/triangle.ts';
import { InputError } from '../plan/input_error.ts';
import { nameField, numberField, present, readHeader, readWith } from '../plan/files/file_schema.ts';
import { choleskyFactor } from '../numerics/cholesky.ts';
import { type LensProfile, lensSize } from './lens_profile.ts';
import { inFile } from '../plan/files/in_file.ts';

const side = numberField('pixels', 100, 100_000).int('must be whole pixels');
const number = z.number({ error: 'must be a number' });
const pair = z.tuple([number, number], { error: 'must be two numbers' });
const many = z.array(number, { error: 'must be a list of numbers' }).max(20_000, 'is longer than any lens needs');

const lensFile = z.object({
  schema: z.literal('prewrap.lens/1'),
  name: nameField('a name of your own'),
  camera: z
    .string({ error: 'must be the camera in the words of its photos' })
    .min(1, 'must be the camera in the words of its photos, not an empty text')
    .max(1000, 'is longer than any camera is called'),
  madeAt: z.iso.datetime({ error: 'must be a moment such as 2026-11-27T10:00:00Z' }).optional(),
  photos: numberField('a number of photos', 1, 1000).int('must be a whole number'),
  corner: numberField('pixels', 0, 100),
  width: side,
  height: side,
  focal: number,
  centre: pair,
  distortion: z.tuple([number, number, number, number, number], { error: 'must be k1, k2, p1, p2, k3' }),
  field: z.object({ right: many, down: many }),
  covariance: many,
});

/** What no camera does, beside which a file's numbers are refused: all far beyond phones' lenses. */
const beyond = {
  /** focal length, and a centre's coordinate, in the photo's longer side */
  focal: { least: 0.2, most: 10 },
  centre: 2,
  /** Brown's coefficients, and pixels of the field */
  distortion: 10,
  field: 1000,
} as const;

/** Numbers of Brown's distortion. */
const distortionCount = 5;

/**
 * Reads a prewrap.lens/1 file, text or value:
 * `{"schema","name","camera","madeAt"?,"photos","corner","width","height","focal","centre","distortion",
 * "field":{"right","down"},"covariance"}`; pixels, the covariance's lower half row by row. Throws InputError.
 */
export function parseLensProfile(input: unknown, file = 'lens.json'): LensProfile {
  const value = readHeader(input, 'prewrap.lens/1', file);
  const {
    width,
    height,
    focal,
    centre,
    distortion,
    field,
    covariance,
    schema: _,
    ...rest
  } = readWith(lensFile, value, file);
  const refuse = (place: string, what: string): never => {
    throw new InputError(
      `${inFile(file)}, ${place}: ${what}; make the lens again from its photos, or copy the file in full.`,
    );
  };
  const grid = fieldGridOf(width, height);
  const [size, longer] = [fieldSize(grid), Math.max(width, height)];
  if (!(focal > beyond.focal.least * longer && focal < beyond.focal.most * longer))
    refuse('focal', 'no camera has such a focal length');
  if (centre.some((c) => Math.abs(c) > beyond.centre * longer)) refuse('centre', 'lies far outside of the picture');
  if (distortion.some((k) => Math.abs(k) > beyond.distortion)) refuse('distortion', 'no lens bends a picture so much');
  for (const way of ['right', 'down'] as const) {
    if (field[way].length !== size) refuse(`field, ${way}`, `has ${field[way].length} numbers, but ${size} are needed`);
    if (field[way].some((shift) => Math.abs(shift) > beyond.field))
      refuse(`field, ${way}`, 'no lens bends a picture so much');
  }
  const n = lensSize(grid);
  const whole = fromTriangle(covariance, n);
  if (!whole || !choleskyFactor(whole, n)) refuse('covariance', 'is not that of a lens');
  return {
    ...present(rest),
    grid,
    values: [focal, ...centre, ...distortion, ...field.right, ...field.down],
    covariance: whole!,
  };
}

/** A lens as the text of its file; the inverse of `parseLensProfile`. */
export function lensProfileToText({ grid, values, covariance, ...rest }: LensProfile): string {
  const { width, height } = grid;
  const size = fieldSize(grid);
  const [focal, x, y, ...more] = values;
  return `${JSON.stringify({
    schema: 'prewrap.lens/1',
    ...rest,
    width,
    height,
    focal,
    centre: [x, y],
    distortion: more.slice(0, distortionCount),
    field: {
      right: more.slice(distortionCount, distortionCount + size),
      down: more.slice(distortionCount + size),
    },
    covariance: triangleOf(covariance, values.length),
  })}\n`;
}
