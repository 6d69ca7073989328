import { InputError } from '../../plan/input_error.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Shoot } from '../../plan/shoot.ts';
import { problemWords } from '../words/problem_words.ts';

/** What a choice of files holds: a plan and a shoot where there are any, and photos in the shoot's order. */
export interface OpenedFiles {
  plan?: Plan;
  shoot?: Shoot;
  photos: File[];
}

const pathOf = (file: File): string => file.webkitRelativePath || file.name;
export const baseName = (path: string): string => path.slice(path.lastIndexOf('/') + 1);
const isJson = (file: File): boolean => /\.json$/i.test(file.name);
const isPhoto = (file: File): boolean =>
  file.type.startsWith('image/') || /\.(jpe?g|png|webp|hei[cf])$/i.test(file.name);

/** A JSON file's declared schema, without its version; undefined when it is not JSON of ours. */
function schemaOf(text: string): string | undefined {
  return /"schema"\s*:\s*"(prewrap\.[a-z]+)\//.exec(text)?.[1];
}

/**
 * Sorts files chosen or dropped together into a plan, a shoot and photos. Throws InputError when a file of ours is
 * wrong, there are two plans, or the shoot names a photo that is not there.
 */
export async function readFiles(files: readonly File[]): Promise<OpenedFiles> {
  const opened: OpenedFiles = { photos: files.filter((file) => isPhoto(file)) };
  let planFile: File | undefined;
  for (const file of files.filter(isJson)) {
    const text = await readText(file);
    const schema = schemaOf(text);
    if (schema === 'prewrap.plan' || (schema === undefined && file.name === 'plan.json')) {
      if (planFile) throw new InputError(problemWords.twoPlans(pathOf(planFile), pathOf(file)));
      planFile = file;
      const { parsePlan } = await import('../../plan/files/plan_file.ts');
      opened.plan = parsePlan(text, file.name);
    } else if (schema === 'prewrap.shoot' || (schema === undefined && file.name === 'shoot.json')) {
      const { parseShoot } = await import('../../plan/files/shoot_file.ts');
      opened.shoot = parseShoot(text, file.name);
    }
  }
  if (opened.shoot) opened.photos = opened.shoot.photos.map((name) => photoNamed(name, opened.photos));
  return opened;
}

async function readText(file: File): Promise<string> {
  try {
    return await file.text();
  } catch {
    throw new InputError(problemWords.notRead(pathOf(file)));
  }
}

function photoNamed(name: string, photos: readonly File[]): File {
  const found =
    photos.find((photo) => pathOf(photo) === name || pathOf(photo).endsWith(`/${name}`)) ??
    photos.find((photo) => photo.name === baseName(name));
  if (!found) throw new InputError(problemWords.photoNotThere(name));
  return found;
}

/** Every file of a drop, folders opened all the way down. */
export async function droppedFiles(transfer: DataTransfer): Promise<File[]> {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter((entry) => entry != null);
  if (entries.length === 0) return [...transfer.files];
  return (await Promise.all(entries.map(filesIn))).flat();
}

async function filesIn(entry: FileSystemEntry): Promise<File[]> {
  if (entry.isFile)
    return [await new Promise<File>((resolve, reject) => (entry as FileSystemFileEntry).file(resolve, reject))];
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  const entries: FileSystemEntry[] = [];
  // a reader hands out at most a hundred entries a call, and none when it is through
  for (;;) {
    const batch = await new Promise<FileSystemEntry[]>((resolve, reject) => reader.readEntries(resolve, reject));
    if (batch.length === 0) break;
    entries.push(...batch);
  }
  return (await Promise.all(entries.map(filesIn))).flat();
}
