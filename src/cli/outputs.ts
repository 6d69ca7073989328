import { mkdir, open, rename, rm, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { InputError } from '../plan/input_error.ts';
import { shownName } from '../plan/shown_name.ts';

/** A file that is going to be written. */
export interface Output {
  /** writes it whole, in place of what stood there */
  write(content: string | Uint8Array): Promise<void>;
  /** nothing will be written: takes away what was begun */
  leave(): Promise<void>;
}

const reasons: Record<string, string> = {
  ENOSPC: 'the disk is full',
  EDQUOT: 'there is no room left for you on the disk',
  EACCES: 'there is no right to write there',
  EPERM: 'there is no right to write there',
  EROFS: 'the disk can only be read',
  EEXIST: 'a part of its path is a file, not a folder',
  ENOTDIR: 'a part of its path is a file, not a folder',
  ENAMETOOLONG: 'its name is too long',
};

const codeOf = (error: unknown): string => (error instanceof Error && 'code' in error ? String(error.code) : '');

const refusal = (path: string, error: unknown): InputError => {
  const code = codeOf(error);
  return new InputError(
    `${shownName(path)} cannot be written (${reasons[code] ?? (code || 'no reason was given')}): name another place for it.`,
  );
};

/**
 * Makes sure that a file can be written, its folders made where they are missing, before the work whose outcome it is
 * to hold. It is written aside and then put in its place, so that none is ever cut short. Throws InputError in one
 * sentence here, or from `write` where the disk fills up in the meantime.
 */
export async function openOutput(path: string): Promise<Output> {
  const aside = join(dirname(path), `.${basename(path).slice(0, 100)}.${process.pid}.part`);
  try {
    const found = await stat(path).catch(() => undefined);
    if (found?.isDirectory()) throw new InputError(`${shownName(path)} is a folder: name a file to write.`);
    if (found && !found.isFile())
      throw new InputError(`${shownName(path)} is no plain file: name another one to write.`);
    await mkdir(dirname(path), { recursive: true });
    await (await open(aside, 'w')).close();
  } catch (error) {
    throw error instanceof InputError ? error : refusal(path, error);
  }
  const leave = () =>
    rm(aside, { force: true }).catch((error: unknown) => {
      // where its folder is no folder any more there is nothing to take away
      if (codeOf(error) !== 'ENOTDIR') throw error;
    });
  return {
    leave,
    async write(content) {
      try {
        const file = await open(aside, 'w');
        try {
          await file.writeFile(content);
          await file.sync();
        } finally {
          await file.close();
        }
        await rename(aside, path);
      } catch (error) {
        await leave();
        throw refusal(path, error);
      }
    },
  };
}

/** Makes sure that a folder is there and can be written to. Throws InputError. */
export async function openFolder(path: string, what = 'the pictures'): Promise<void> {
  const found = await stat(path).catch(() => undefined);
  if (found && !found.isDirectory()) throw new InputError(`${shownName(path)} is a file: name a folder for ${what}.`);
  await (await openOutput(join(path, 'prewrap-check'))).leave();
}
