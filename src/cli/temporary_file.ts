import { closeSync, mkdtempSync, openSync, readSync, rmSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FileAside } from '../photo/photos_aside.ts';

/**
 * A file in the system's folder for such, made when something is first to lie there. Its name is taken away at once
 * where the system lets an open file go on without one, so that nothing stays behind however the command ends; else
 * when it is closed.
 */
export class TemporaryFile implements FileAside {
  #file: { folder: string; descriptor: number; end: number } | undefined;
  #full = false;

  add(bytes: Uint8Array): number | undefined {
    if (this.#full) return undefined;
    try {
      const file = (this.#file ??= openAside());
      const at = file.end;
      file.end += writeWhole(file.descriptor, bytes, at);
      return at;
    } catch {
      // what lies there already stays; memory holds the rest
      this.#full = true;
      return undefined;
    }
  }

  read(at: number, into: Uint8Array): void {
    for (let done = 0; done < into.length; ) {
      const read = readSync(this.#file!.descriptor, into, done, into.length - done, at + done);
      if (read === 0) throw new Error('what was held of a photo is no longer there in full');
      done += read;
    }
  }

  close(): void {
    this.#full = true;
    if (!this.#file) return;
    closeSync(this.#file.descriptor);
    rmSync(this.#file.folder, { recursive: true, force: true });
    this.#file = undefined;
  }
}

function openAside(): { folder: string; descriptor: number; end: number } {
  const folder = mkdtempSync(join(tmpdir(), 'prewrap-photos-'));
  const descriptor = openSync(join(folder, 'lanes'), 'wx+', 0o600);
  try {
    rmSync(folder, { recursive: true, force: true });
  } catch {
    // Windows keeps the name of an open file: it goes as the file is closed.
  }
  return { folder, descriptor, end: 0 };
}

function writeWhole(descriptor: number, bytes: Uint8Array, at: number): number {
  for (let done = 0; done < bytes.length; ) done += writeSync(descriptor, bytes, done, bytes.length - done, at + done);
  return bytes.length;
}
