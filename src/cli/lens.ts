import { readdir } from 'node:fs/promises';
import { extname } from 'node:path';
import { parseLensProfile, lensProfileToText } from '../adjust/lens_file.ts';
import type { LensProfile } from '../adjust/lens_profile.ts';
import { makeLens } from '../check/make_lens.ts';
import { decodePhotoFile } from '../photo/decode_node.ts';
import { InputError } from '../plan/input_error.ts';
import { type Kept, keepCommand } from './keep_command.ts';
import { showProgress } from './progress.ts';
import { openSource, readPlainText } from './shoot_source.ts';
import { shownName } from '../plan/shown_name.ts';

const usage = 'npm run --silent lens -- FOLDER --save FILE [--name NAME]';

const photoEndings = new Set(['.jpg', '.jpeg', '.png', '.webp', '.heic', '.heif', '.avif']);

/**
 * Makes a camera's lens from a folder of photos of two pages of the mat, and writes it. Answers the exit code: 0, or 3
 * where the photos do not tell it or the file cannot be written.
 */
export const lensCommand = (args: string[]): Promise<number> =>
  keepCommand(args, { usage, holds: 'of photos of the mat, no rod on it', prepare });

async function prepare(folder: string): Promise<(name: string | undefined) => Promise<Kept>> {
  const files = await readdir(folder).catch(() => {
    throw new InputError(`${shownName(folder)} is no folder that can be read: name the one with the photos.`);
  });
  const photos = files.filter((file) => photoEndings.has(extname(file).toLowerCase())).toSorted();
  const source = await openSource(folder);
  const load = async (index: number) =>
    decodePhotoFile({ name: photos[index]!, bytes: await source.bytes(photos[index]!) });
  return async (name) => {
    const { profile, sentences } = await makeLens(photos.length, load, {
      ...(name !== undefined && { name }),
      madeAt: new Date().toISOString(),
      onProgress: showProgress,
    });
    return { says: `${profile.name}: the lens`, text: lensProfileToText(profile), sentences };
  };
}

/** A lens kept in a file. Throws InputError. */
export const readLens = async (file: string): Promise<LensProfile> => parseLensProfile(await readPlainText(file), file);
