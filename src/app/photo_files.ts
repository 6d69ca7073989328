import { words } from './words.ts';

/**
 * The photos among files that were chosen, dropped or pasted, by their first bytes; for the others one sentence about the
 * first: what it is and what to do.
 */
export async function photosAmong(files: readonly File[]): Promise<{ good: File[]; problem: string | undefined }> {
  const { inspectPhotoFile } = await import('../photo/inspect_photo.ts');
  const good: File[] = [];
  let problem: string | undefined;
  for (const file of files) {
    try {
      inspectPhotoFile({ name: file.name, bytes: new Uint8Array(await file.arrayBuffer()) });
      good.push(file);
    } catch (error) {
      if (!(error instanceof Error)) throw error;
      problem ??= error.name === 'InputError' ? error.message : words.problems.notRead(file.name);
    }
  }
  return { good, problem };
}
