import { mkdtempSync, rmSync } from 'node:fs';
import { mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** A file made up for a test. */
export interface MadeFile {
  name: string;
  mimeType: string;
  buffer: Buffer;
}

let folder: string | undefined;

/**
 * Puts a file on disk, in a folder of its own that is gone with the process, and says where: Playwright hands a path
 * over in a quarter of the time that it takes for the bytes.
 */
export async function onDisk({ name, buffer }: MadeFile): Promise<string> {
  if (folder === undefined) {
    const made = mkdtempSync(join(tmpdir(), 'prewrap-files-'));
    folder = made;
    process.on('exit', () => rmSync(made, { recursive: true, force: true }));
  }
  const path = join(await mkdtemp(join(folder, 'file-')), name);
  await writeFile(path, buffer);
  return path;
}
