import { readdir } from 'node:fs/promises';
import { extname } from 'node:path';
import { parseLensProfile, lensProfileToText } from '../adjust/lens_file.ts';
import type { LensProfile } from '../adjust/lens_profile.ts';
import { makeLens } from '../check/make_lens.ts';
import { decodePhotoFile } from '../photo/decode_node.ts';
import { InputError } from '../plan/input_error.ts';
import { readKeepArguments } from './keep_arguments.ts';
import { openOutput } from './outputs.ts';
import { endProgress, showProgress } from './progress.ts';
import { openSource, readPlainText } from './shoot_source.ts';
import { unusable } from './exit_codes.ts';

const usage = 'npm run --silent lens -- FOLDER --save FILE [--name NAME]';

const photoEndings = new Set(['.jpg', '.jpeg', '.png', '.webp', '.heic', '.heif', '.avif']);

/**
 * Makes a camera's lens from a folder of photos of two pages of the mat, and writes it. Answers the exit code: 0, or 3
 * where the photos do not tell it or the file cannot be written.
 */
export async function lensCommand(args: string[]): Promise<number> {
  try {
    const { folder, save, name } = readKeepArguments(args, usage, 'of photos of the mat, no rod on it');
    const photos = (
      await readdir(folder).catch(() => {
        throw new InputError(`${folder} is no folder that can be read: name the one with the photos.`);
      })
    )
      .filter((file) => photoEndings.has(extname(file).toLowerCase()))
      .toSorted();
    const source = await openSource(folder);
    const output = await openOutput(save);
    try {
      const load = async (index: number) =>
        decodePhotoFile({ name: photos[index]!, bytes: await source.bytes(photos[index]!) });
      const { profile, sentences } = await makeLens(photos.length, load, {
        ...(name !== undefined && { name }),
        madeAt: new Date().toISOString(),
        onProgress: showProgress,
      });
      endProgress();
      await output.write(lensProfileToText(profile));
      console.log([`${profile.name}: the lens is in ${save}.`, ...sentences, ''].join('\n'));
      return 0;
    } finally {
      await output.leave();
    }
  } catch (error) {
    endProgress();
    if (!(error instanceof InputError)) throw error;
    console.error(error.message);
    return unusable;
  }
}

/** A lens kept in a file. Throws InputError. */
export const readLens = async (file: string): Promise<LensProfile> => parseLensProfile(await readPlainText(file), file);
