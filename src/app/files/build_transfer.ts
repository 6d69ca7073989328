import type { Build, KeptCheck } from '../../store/build.ts';
import type { ExportInput } from '../../store/export_build.ts';
import type { ImportedBuild } from '../../store/import_build.ts';
import type { Shelf } from '../../store/shelf.ts';
import { newId } from '../../store/new_id.ts';
import { transferWords } from '../words/transfer_words.ts';

export const isZip = (file: File): boolean => /\.zip$/i.test(file.name) || /^application\/(?:x-)?zip/.test(file.type);

/** A name for a build's files: its title's letters and digits. */
export const fileStem = (title: string): string =>
  title
    .normalize('NFKD')
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60)
    .toLowerCase() || 'rod';

export const zipName = (build: Build): string => `${fileStem(build.document.plan.title)}.zip`;

/** Hands a file to the browser to save. */
export function saveAs(content: Blob, name: string): void {
  const url = URL.createObjectURL(content);
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // the browser reads the file after the click has returned
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** What an export needs: the build, its checks and every photo of theirs that is still kept. */
export async function exportInput(build: Build, checks: readonly KeptCheck[], shelf: Shelf): Promise<ExportInput> {
  const ids = new Set([
    ...build.document.shoot.photos.map((photo) => photo.id),
    ...checks.flatMap((check) => Object.values(check.photoIds)),
  ]);
  const photos = new Map<string, Blob>();
  for (const id of ids) {
    const file = await shelf.photoFile(id);
    if (file) photos.set(id, file);
  }
  return { build, checks, photos };
}

export interface KeptImport {
  /** `here`: the very same build was kept already */
  kind: 'new' | 'here';
  build: Build;
  checks: KeptCheck[];
}

/**
 * Keeps an imported build's photos and checks beside what is there; the build itself is for the caller to save. The
 * same build unchanged is not kept twice; where a build of its id stands that differs, the imported one comes in as a
 * copy of its own.
 */
export async function keepImported(shelf: Shelf, imported: ImportedBuild): Promise<KeptImport> {
  const here = await shelf.load(imported.build.id);
  if (here && here !== 'damaged') {
    const { checks } = await shelf.checks(here.id);
    if (contentOf(here, checks) === contentOf(imported.build, imported.checks))
      return { kind: 'here', build: here, checks };
  }
  const { build, photos, checks } = here ? asCopy(imported) : imported;
  await shelf.keepPhotos(photos);
  for (const check of checks) await shelf.keepCheck(check);
  return { kind: 'new', build, checks };
}

/** What a build says, without the ids and times its keeping gave it. */
function contentOf({ document }: Build, checks: readonly KeptCheck[]): string {
  const { shoot, ...rest } = document;
  const { id: _, photos, ...readings } = shoot;
  return JSON.stringify(
    sorted([rest, readings, photos.map(({ name }) => name), checks.map(({ id }) => id).toSorted()]),
  );
}

/**
 * The value with the names in every object in order and lengths to a nanometre: two ways of writing one thing compare
 * equal.
 */
function sorted(value: unknown): unknown {
  if (typeof value === 'number') return Number(value.toFixed(6));
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .filter(([, part]) => part !== undefined)
      .toSorted(([a], [b]) => (a < b ? -1 : 1))
      .map(([key, part]) => [key, sorted(part)]),
  );
}

function asCopy({ build, photos, checks }: ImportedBuild): ImportedBuild {
  const id = newId();
  const { plan } = build.document;
  return {
    build: {
      ...build,
      id,
      document: { ...build.document, plan: { ...plan, title: transferWords.copyTitle(plan.title) } },
    },
    photos: photos.map((photo) => ({ ...photo, buildId: id })),
    checks: checks.map((check) => ({ ...check, id: newId(), buildId: id })),
  };
}
