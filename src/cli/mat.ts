import { matProfileToText, parseMatProfile } from '../adjust/mat_file.ts';
import type { MatProfile } from '../adjust/mat_profile.ts';
import { makeMat } from '../check/make_mat.ts';
import { decodePhotoFile } from '../photo/decode_node.ts';
import { parseShoot } from '../plan/files/shoot_file.ts';
import { type Kept, keepCommand } from './keep_command.ts';
import { showProgress } from './progress.ts';
import { openSource, readPlainText } from './shoot_source.ts';

const usage = 'npm run --silent mat -- FOLDER --save FILE [--name NAME]';

/**
 * Solves the taped mat from a shoot's photos and readings, and writes it to be kept. Answers the exit code: 0, or 3
 * where the photos do not tell it or the file cannot be written.
 */
export const matCommand = (args: string[]): Promise<number> =>
  keepCommand(args, { usage, holds: 'with shoot.json and photos over the mat', prepare });

async function prepare(folder: string): Promise<(name: string | undefined) => Promise<Kept>> {
  const source = await openSource(folder);
  const shoot = parseShoot(await source.text('shoot.json'), 'shoot.json');
  const load = async (index: number) => {
    const photo = shoot.photos[index]!;
    return decodePhotoFile({ name: photo, bytes: await source.bytes(photo) });
  };
  return async (name = 'mat') => {
    const madeAt = new Date().toISOString();
    const { profile, sentences } = await makeMat(shoot, load, { name, madeAt, onProgress: showProgress });
    return { says: `${name}: the mat`, text: matProfileToText(profile), sentences };
  };
}

/** A mat kept in a file. Throws InputError. */
export const readMat = async (file: string): Promise<MatProfile> => parseMatProfile(await readPlainText(file), file);
