import type { PhotoEntry } from '../../store/build.ts';
import { baseName } from './open_files.ts';
import { photoWords } from '../words/photo_words.ts';
import { problemWords } from '../words/problem_words.ts';
import { deskBridge } from '../workers/bridges.ts';

/**
 * The photos among files that were chosen, dropped or pasted, by their headers, without those that are here
 * already: counted twice a photo would feign certainty. For the others one sentence about the first: what it is and
 * what to do.
 *
 * @param here the shoot's photos, and where their files are kept
 */
export async function photosAmong(
  files: readonly File[],
  here: readonly PhotoEntry[],
  fileOf: (id: string) => Promise<Blob | undefined>,
): Promise<{ good: File[]; problem: string | undefined }> {
  const good: File[] = [];
  let problem: string | undefined;
  for (const file of files) {
    try {
      await deskBridge.ask('inspectPhoto', { file, name: file.name }, { ahead: true });
      const twin = await twinOf(file, here, good, fileOf);
      if (twin === undefined) good.push(file);
      else problem ??= photoWords.alreadyHere(file.name, twin);
    } catch (error) {
      if (!(error instanceof Error)) throw error;
      problem ??= error.name === 'InputError' ? error.message : problemWords.notRead(file.name);
    }
  }
  return { good, problem };
}

/** The name of the photo, kept or just taken in, that has the very same bytes. */
async function twinOf(
  file: File,
  here: readonly PhotoEntry[],
  taken: readonly File[],
  fileOf: (id: string) => Promise<Blob | undefined>,
): Promise<string | undefined> {
  for (const entry of here) {
    if (entry.bytes !== file.size) continue;
    const kept = await fileOf(entry.id);
    if (kept && (await sameBytes(file, kept))) return baseName(entry.name);
  }
  for (const other of taken) if (other.size === file.size && (await sameBytes(file, other))) return other.name;
  return undefined;
}

async function sameBytes(one: Blob, other: Blob): Promise<boolean> {
  const [bytes, others] = (await Promise.all([one.arrayBuffer(), other.arrayBuffer()])).map(
    (buffer) => new Uint8Array(buffer),
  );
  return bytes!.length === others!.length && bytes!.every((byte, i) => byte === others![i]);
}
