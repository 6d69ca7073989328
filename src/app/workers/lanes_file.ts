import type { FileAside } from '../../photo/photos_aside.ts';

const folderName = 'prewrap-lanes';

/**
 * The folder for such files in the browser's own storage of this site, which no other site and no person sees;
 * undefined where the browser gives none, as over plain http and in some private windows.
 */
const lanesFolder = async (): Promise<FileSystemDirectoryHandle | undefined> =>
  navigator.storage
    ?.getDirectory?.()
    .then((root) => root.getDirectoryHandle(folderName, { create: true }))
    .catch(() => undefined);

/** Throws away what workers that have ended left there: a file that one still holds open can't be thrown away. */
export async function sweepLanes(): Promise<void> {
  const folder = await lanesFolder();
  if (!folder) return;
  const names: string[] = [];
  for await (const name of folder.keys()) names.push(name);
  await Promise.all(names.map((name) => folder.removeEntry(name).catch(() => {})));
}

/**
 * A file for what is held of photos beyond what memory should hold, for as long as this worker lives; undefined where
 * the browser gives none: memory then holds all.
 */
export async function openLanesFile(): Promise<FileAside | undefined> {
  await sweepLanes();
  const folder = await lanesFolder();
  try {
    const file = await folder?.getFileHandle(`${crypto.getRandomValues(new Uint32Array(2)).join('-')}`, {
      create: true,
    });
    const access = await file?.createSyncAccessHandle();
    return access && new LanesFile(access);
  } catch {
    // a browser without such files, or without room for one more
    return undefined;
  }
}

class LanesFile implements FileAside {
  readonly #access: FileSystemSyncAccessHandle;
  #end = 0;
  #full = false;

  constructor(access: FileSystemSyncAccessHandle) {
    this.#access = access;
  }

  add(bytes: Uint8Array): number | undefined {
    if (this.#full) return undefined;
    const at = this.#end;
    try {
      this.#full = this.#access.write(bytes, { at }) < bytes.length;
      if (this.#full) return undefined;
      this.#end += bytes.length;
      return at;
    } catch {
      // no room: what lies there already stays, and memory holds the rest
      this.#full = true;
      return undefined;
    }
  }

  read(at: number, into: Uint8Array): void {
    if (this.#access.read(into, { at }) < into.length)
      throw new Error('what was held of a photo is no longer there in full');
  }
}
