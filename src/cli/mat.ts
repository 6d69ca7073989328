import { matProfileToText, parseMatProfile } from '../adjust/mat_file.ts';
import type { MatProfile } from '../adjust/mat_profile.ts';
import { makeMat } from '../check/make_mat.ts';
import { decodePhotoFile } from '../photo/decode_node.ts';
import { parseShoot } from '../plan/files/shoot_file.ts';
import { InputError } from '../plan/input_error.ts';
import { unusable } from './exit_codes.ts';
import { readKeepArguments } from './keep_arguments.ts';
import { openOutput } from './outputs.ts';
import { endProgress, showProgress } from './progress.ts';
import { openSource, readPlainText } from './shoot_source.ts';

const usage = 'npm run --silent mat -- FOLDER --save FILE [--name NAME]';

/**
 * Solves the taped mat from a shoot's photos and readings, and writes it to be kept. Answers the exit code: 0, or 3
 * where the photos do not tell it or the file cannot be written.
 */
export async function matCommand(args: string[]): Promise<number> {
  try {
    const { folder, save, name = 'mat' } = readKeepArguments(args, usage, 'with shoot.json and photos over the mat');
    const source = await openSource(folder);
    const shoot = parseShoot(await source.text('shoot.json'), 'shoot.json');
    const output = await openOutput(save);
    try {
      const load = async (index: number) => {
        const photo = shoot.photos[index]!;
        return decodePhotoFile({ name: photo, bytes: await source.bytes(photo) });
      };
      const madeAt = new Date().toISOString();
      const { profile, sentences } = await makeMat(shoot, load, { name, madeAt, onProgress: showProgress });
      endProgress();
      await output.write(matProfileToText(profile));
      console.log([`${name}: the mat is in ${save}.`, ...sentences, ''].join('\n'));
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

/** A mat kept in a file. Throws InputError. */
export const readMat = async (file: string): Promise<MatProfile> => parseMatProfile(await readPlainText(file), file);
