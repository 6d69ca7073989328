import type { PhotoEntry } from '../../store/build.ts';
import { baseName } from './open_files.ts';
import { photoWords } from '../words/photo_words.ts';
import { problemWords } from '../words/problem_words.ts';

/**
 * The photos among files that were chosen, dropped or pasted, by their first bytes, without those that are here
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
  const { inspectPhotoFile } = await import('../../photo/inspect_photo.ts');
  const good: File[] = [];
  let problem: string | undefined;
  for (const file of files) {
    try {
      const bytes = new Uint8Array(await file.arrayBuffer());
      inspectPhotoFile({ name: file.name, bytes });
      const twin = await twinOf(bytes, here, good, fileOf);
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
  bytes: Uint8Array,
  here: readonly PhotoEntry[],
  taken: readonly File[],
  fileOf: (id: string) => Promise<Blob | undefined>,
): Promise<string | undefined> {
  for (const entry of here) {
    if (entry.bytes !== bytes.length) continue;
    const kept = await fileOf(entry.id);
    if (kept && (await sameBytes(bytes, kept))) return baseName(entry.name);
  }
  for (const file of taken) if (file.size === bytes.length && (await sameBytes(bytes, file))) return file.name;
  return undefined;
}

async function sameBytes(bytes: Uint8Array, file: Blob): Promise<boolean> {
  const other = new Uint8Array(await file.arrayBuffer());
  return bytes.length === other.length && bytes.every((byte, i) => byte === other[i]);
}
