import { z } from 'zod';
import { maximumTiles, tagsPerTile } from '../mat/tile.ts';
import { fromTriangle, triangleOf } from '../numerics/triangle.ts';
import { nameField, numberField, present, readHeader, readWith } from '../plan/files/file_schema.ts';
import { matReadingsFromFile, matReadingsSchema } from '../plan/files/shoot_file.ts';
import { InputError } from '../plan/input_error.ts';
import { choleskyFactor } from '../numerics/cholesky.ts';
import { type MatProfile, perTile } from './mat_profile.ts';
import { inFile } from '../plan/files/in_file.ts';

const farthest = 20_000;
const scale = numberField('a scale', 0.8, 1.2);

const sign = z.number({ error: 'must be a number' });

const matFile = z.object({
  schema: z.literal('prewrap.mat/1'),
  name: nameField('a name of your own'),
  madeAt: z.iso.datetime({ error: 'must be a moment such as 2026-11-27T10:00:00Z' }).optional(),
  photos: numberField('a number of photos', 1, 1000).int('must be a whole number'),
  signs: z
    .array(
      z.array(z.tuple([sign, sign, sign], { error: 'must be a tag and its x and y' })).max(3, 'holds more than three'),
    )
    .max(1000, 'holds more than 1000')
    .optional(),
  readings: matReadingsSchema,
  paper: numberField('mm', 0, 50),
  pages: z
    .array(
      z.object({
        tile: numberField('a page', 0, maximumTiles - 1).int('must be a whole number'),
        x: numberField('mm', -farthest, farthest),
        y: numberField('mm', -farthest, farthest),
        yaw: numberField('radians', -10, 10),
        heights: z
          .array(numberField('mm', -100, 100), { error: 'must be a list of heights' })
          .length(tagsPerTile, `must be ${tagsPerTile} heights`),
      }),
    )
    .min(1, 'must name a page')
    .max(maximumTiles, `are more than ${maximumTiles}`),
  printScale: z.object({ along: scale, across: scale }),
  covariance: z.array(z.number({ error: 'must be a number' })).max(300_000, 'is longer than any mat needs'),
});

/**
 * Reads a prewrap.mat/1 file, text or value:
 * `{"schema","name","madeAt"?,"photos","signs"?,"readings","paper","pages":[{"tile","x","y","yaw","heights"}],
 * "printScale","covariance"}`; mm and radians, the covariance's lower half row by row. Throws InputError.
 */
export function parseMatProfile(input: unknown, file = 'mat.json'): MatProfile {
  const value = readHeader(input, 'prewrap.mat/1', file);
  const { schema: _, pages, covariance, readings, ...rest } = readWith(matFile, value, file);
  const twice = pages.find(({ tile }, i) => pages.findIndex((other) => other.tile === tile) < i);
  if (twice) throw new InputError(`${inFile(file)}, pages: page ${twice.tile} is given twice; keep the mat anew.`);
  const n = perTile * pages.length + 2;
  const whole = fromTriangle(covariance, n);
  if (!whole || !isCovariance(whole, n))
    throw new InputError(
      `${inFile(file)}, covariance: is not that of ${pages.length} pages; keep the mat anew, or copy the file in full.`,
    );
  return { ...present(rest), readings: matReadingsFromFile(readings), tiles: pages, covariance: whole };
}

/**
 * What is added to a covariance's diagonal before it must be one, as a share and by itself: the page that was held has
 * no doubt of its place, and heights hang together by their mean plane, so that it is hardly above 0.
 */
const hardly = { share: 1e-6, more: 1e-12 } as const;

function isCovariance(matrix: Float64Array, n: number): boolean {
  const least = Array.from({ length: n }, (_, i) => matrix[i * (n + 1)]!);
  if (least.some((own) => !(own >= 0))) return false;
  return (
    choleskyFactor(
      matrix.map((v, k) => (k % (n + 1) === 0 ? v * (1 + hardly.share) + hardly.more : v)),
      n,
    ) !== undefined
  );
}

/** A kept mat as the text of its file; the inverse of `parseMatProfile`. */
export const matProfileToText = ({ tiles, covariance, ...rest }: MatProfile): string =>
  `${JSON.stringify({
    schema: 'prewrap.mat/1',
    ...rest,
    pages: tiles,
    covariance: triangleOf(covariance, perTile * tiles.length + 2),
  })}\n`;
