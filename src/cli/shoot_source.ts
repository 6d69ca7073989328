import { lstat, readFile, realpath, stat } from 'node:fs/promises';
import { basename, join, relative, sep } from 'node:path';
import { InputError } from '../plan/input_error.ts';
import { resolved, unpackBuild } from '../store/archive.ts';
import { oneOfTwo, shownName } from '../plan/shown_name.ts';

/** Where plan, shoot and photos come from: a folder, or a zip that the app exported. */
export interface ShootSource {
  /** what the file is in itself, however it is named; undefined where there is none */
  identity(name: string): Promise<string | undefined>;
  text(name: string): Promise<string>;
  bytes(name: string): Promise<Uint8Array>;
}

/** Larger files are no plan, shoot or report; no photo; no build, bytes. */
const largestText = 20e6;
const largestPhoto = 300e6;
const largestZip = 1.5e9;

/** Opens a folder or a zip. Throws InputError where there is none, or what is asked of it later is not there. */
export async function openSource(path: string): Promise<ShootSource> {
  const found = await stat(path).catch(() => undefined);
  if (!found) throw new InputError(`There is no folder or zip ${shownName(path)}: check the path.`);
  if (found.isDirectory()) return folderSource(path, await realpath(path));
  if (!found.isFile()) throw new InputError(`${shownName(path)} is neither a folder nor a zip: check the path.`);
  if (found.size > largestZip)
    throw new InputError(`${shownName(path)} is larger than 1.5 GB, which no build is: check the path.`);
  const { files } = unpackBuild(await readWhole(path), basename(path));
  const bytes = async (name: string) => {
    const content = files.get(resolved('', name));
    if (!content) throw missing(name, path);
    return content;
  };
  return {
    identity: async (name) => (files.has(resolved('', name)) ? resolved('', name) : undefined),
    bytes,
    text: async (name) => textOf(await bytes(name), name),
  };
}

const missing = (name: string, path: string): InputError =>
  new InputError(
    `${shownName(name, oneOfTwo)} was not found in ${shownName(path, oneOfTwo)}: put the plan, the shoot and the photos into one folder.`,
  );

async function readWhole(path: string): Promise<Uint8Array> {
  try {
    return await readFile(path);
  } catch {
    throw new InputError(`${shownName(path)} cannot be read: check the right to read it, or copy it anew.`);
  }
}

function textOf(bytes: Uint8Array, name: string): string {
  if (bytes.length > largestText)
    throw new InputError(
      `${shownName(name)} is larger than 20 MB, which no file of its kind is: choose the right one.`,
    );
  return new TextDecoder().decode(bytes);
}

/** A plain file's text. Throws InputError where there is none, it is no plain file, or too large. */
export async function readPlainText(path: string): Promise<string> {
  const found = await stat(path).catch(() => undefined);
  if (!found?.isFile()) throw new InputError(`${shownName(path)} cannot be read; check its name and folder.`);
  if (found.size > largestText)
    throw new InputError(
      `${shownName(path)} is larger than 20 MB, which no file of its kind is: choose the right one.`,
    );
  return textOf(await readWhole(path), path);
}

/** Plain files inside the folder alone: no links, pipes or devices, and no way out. */
function folderSource(path: string, root: string): ShootSource {
  const find = async (name: string) => {
    const file = join(path, name);
    const found = await lstat(file).catch(() => undefined);
    if (!found) return undefined;
    const inside = relative(root, await realpath(file).catch(() => ''));
    const what = found.isSymbolicLink()
      ? 'is a link'
      : !found.isFile()
        ? 'is no plain file'
        : inside === '..' || inside.startsWith(`..${sep}`)
          ? `lies outside of ${shownName(path, oneOfTwo)}`
          : found.size > largestPhoto
            ? 'is larger than 300 MB'
            : undefined;
    if (what)
      throw new InputError(
        `${shownName(name, oneOfTwo)} ${what}: put the file itself beside the plan, and name it there.`,
      );
    return { file, identity: `${found.dev}:${found.ino}` };
  };
  const bytes = async (name: string) => {
    const found = await find(name);
    if (!found) throw missing(name, path);
    return readWhole(found.file);
  };
  return {
    identity: async (name) => (await find(name))?.identity,
    bytes,
    text: async (name) => textOf(await bytes(name), name),
  };
}
