import type { BuildDocument, KeptPhoto, PhotoEntry } from '../../store/build.ts';
import { InputError } from '../../plan/input_error.ts';
import { newId } from '../../store/new_id.ts';
import { freeName, plainName } from '../../store/photo_name.ts';
import type { OpenedFiles } from './open_files.ts';
import { saveWords } from '../words/frame_words.ts';
import { problemWords } from '../words/problem_words.ts';

/**
 * Photo files as they are kept and as the shoot lists them, under names none of `taken` has.
 *
 * @param ids of the photos, where they have one already
 */
export function photoEntries(
  buildId: string,
  files: readonly File[],
  taken: readonly PhotoEntry[],
  ids: readonly string[] = [],
): { kept: KeptPhoto[]; entries: PhotoEntry[] } {
  const names = new Set(taken.map((entry) => entry.name));
  const kept = files.map((file, i): KeptPhoto => {
    const name = freeName(plainName(file.name), names);
    names.add(name);
    return { id: ids[i] ?? newId(), buildId, name, file };
  });
  const addedAt = new Date().toISOString();
  return { kept, entries: kept.map(({ id, name, file }) => ({ id, name, bytes: file.size, addedAt })) };
}

/** A document's plan, shoot and photo files, to begin another build with. */
export async function copyOf(
  document: BuildDocument,
  photoFile: (id: string) => Promise<Blob | undefined>,
): Promise<OpenedFiles> {
  const { id: _, photos, ...readings } = document.shoot;
  const files = await Promise.all(
    photos.map(async ({ id, name }) => {
      const file = await photoFile(id);
      if (!file) throw new InputError(problemWords.photoLost(name));
      return new File([file], name, { type: file.type });
    }),
  );
  return {
    plan: { ...document.plan, title: saveWords.copyTitle(document.plan.title) },
    shoot: { ...readings, photos: photos.map((photo) => photo.name) },
    photos: files,
  };
}
