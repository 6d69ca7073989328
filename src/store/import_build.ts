import { type BuildArchive, resolved, roundIn, unpackBuild } from './archive.ts';
import { fileKind } from '../photo/file_kind.ts';
import { InputError } from '../plan/input_error.ts';
import { newId } from './new_id.ts';
import { parseJson } from '../plan/files/json_text.ts';
import { planOnMat } from '../plan/pieces/pieces.ts';
import type { Plan } from '../plan/plan.ts';
import { parsePlan } from '../plan/files/plan_file.ts';
import { renamedPhotos } from '../plan/files/renamed_photos.ts';
import { parseShoot } from '../plan/files/shoot_file.ts';
import { parseReport } from '../verdict/report_file.ts';
import { type ArchiveFile, archiveSchema, evidenceSchema } from './archive_file.ts';
import type { Build, KeptCheck, KeptPhoto, ShootInHand, ShownEvidence } from './build.ts';
import { readBuild as readKeptBuild, readCheck as readKeptCheck } from './kept_schema.ts';
import { shownName } from '../plan/shown_name.ts';

/** A build read from a zip, not kept yet; its id is the one it was exported with, or a new one. */
export interface ImportedBuild {
  build: Build;
  photos: KeptPhoto[];
  /** the last one first */
  checks: KeptCheck[];
}

const noEvidence: ShownEvidence = { photos: [], closeUps: [], rings: [] };

/**
 * Reads a build's zip whole before anything is kept. Throws InputError in one sentence when any part of it is wrong.
 */
export async function importBuild(file: Blob, name: string): Promise<ImportedBuild> {
  const archive = unpackBuild(new Uint8Array(await file.arrayBuffer()), name);
  const about = readAbout(archive, name);
  const id = about?.id ?? newId();
  const shelf = new PhotoShelf(id, archive.files);
  const now = new Date().toISOString();
  const plan = readPlan(archive, about);
  const checks = (about?.checks ?? []).flatMap((entry) => readCheck(entry, archive, id, shelf, name));
  const build: Build = {
    schema: 'prewrap.build/1',
    id,
    revision: 0,
    createdAt: about?.createdAt ?? now,
    changedAt: about?.changedAt ?? now,
    sample: about?.sample ?? false,
    document: {
      plan,
      thread: about?.thread ?? '#a3342b',
      lengths: about?.lengths ?? plan.unit,
      shoot: readShoot(archive, about, shelf, now),
      ...(about?.printed && { printed: about.printed as NonNullable<Build['document']['printed']> }),
      ...(about?.written && { written: about.written as NonNullable<Build['document']['written']> }),
    },
  };
  refuseUnkeepable(build, checks, name);
  return { build, photos: shelf.photos, checks: checks.toSorted((a, b) => b.at.localeCompare(a.at)) };
}

/** What could not be read back once it is kept is not taken in. Throws InputError. */
function refuseUnkeepable(build: Build, checks: readonly KeptCheck[], name: string): void {
  if (readKeptBuild(build) && checks.every(readKeptCheck)) return;
  throw new InputError(
    `${shownName(name)} holds a value that no build has, such as a length of kilometres: take build.json out of the zip to open the plan and photos alone.`,
  );
}

function readAbout({ files }: BuildArchive, name: string): ArchiveFile | undefined {
  const bytes = files.get('build.json');
  if (!bytes) return undefined;
  const read = archiveSchema.safeParse(parseJson(new TextDecoder().decode(bytes), 'build.json'));
  if (read.success) return read.data;
  throw new InputError(
    `build.json in ${shownName(name)} was not written by this version of Prewrap or was changed: take it out of the zip to open the plan and photos alone.`,
  );
}

function readPlan(archive: BuildArchive, about: ArchiveFile | undefined): Plan {
  if (!about?.unfinishedPlan) return parsePlan(archive.plan, 'plan.json');
  try {
    return parsePlan(archive.plan, 'plan.json');
  } catch (error) {
    if (error instanceof InputError) return about.unfinishedPlan;
    throw error;
  }
}

function readShoot(archive: BuildArchive, about: ArchiveFile | undefined, shelf: PhotoShelf, now: string): ShootInHand {
  const id = newId();
  if (archive.shoot === undefined) {
    const readings = about?.readings ?? { stage: 'rings', mat: {}, rest: { kind: 'flat' }, rollReference: 'seat-card' };
    return { ...readings, id, photos: [] };
  }
  const { photos, earlierMarks: _, ...shoot } = parseShoot(archive.shoot, 'shoot.json');
  const added = new Map(about?.photos.map((photo) => [photo.name, photo.addedAt]));
  return {
    ...shoot,
    id,
    photos: photos.map((name) => {
      const photo = shelf.photoAt(resolved('', name), name);
      return { id: photo.id, name, bytes: photo.file.size, addedAt: added.get(name) ?? now };
    }),
  };
}

function readCheck(
  { id, at, folder, photos: names }: ArchiveFile['checks'][number],
  archive: BuildArchive,
  buildId: string,
  shelf: PhotoShelf,
  name: string,
): KeptCheck[] {
  const round = roundIn(archive.files, folder, name);
  if (round.shoot === undefined || round.report === undefined) return [];
  const { photos: paths, earlierMarks: _, ...shoot } = parseShoot(round.shoot, `${folder}shoot.json`);
  const named = paths.map((path, k) => ({ path, name: names[k] ?? path }));
  return [
    {
      id,
      buildId,
      at,
      // of a piece by itself the check keeps that piece's plan
      plan: planOnMat(parsePlan(round.plan, `${folder}plan.json`), shoot),
      shoot: renamedPhotos(
        shoot,
        named.map((photo) => ({ from: photo.path, to: photo.name })),
      ),
      photoIds: Object.fromEntries(
        named.map((photo) => [photo.name, shelf.photoAt(resolved(folder, photo.path), photo.name).id]),
      ),
      report: parseReport(round.report, `${folder}report.json`),
      evidence: readEvidence(archive.files, folder),
    },
  ];
}

/** The pictures that belong to a check; a check whose pictures are not all there is shown without any. */
function readEvidence(files: ReadonlyMap<string, Uint8Array>, folder: string): ShownEvidence {
  const text = files.get(`${folder}evidence.json`);
  if (!text) return noEvidence;
  const read = evidenceSchema.safeParse(parseJson(new TextDecoder().decode(text), `${folder}evidence.json`));
  if (!read.success) return noEvidence;
  const { ribbon, closeUps, ...rest } = read.data;
  const wanted = [...(ribbon ? [ribbon] : []), ...closeUps].map(({ picture }) => folder + picture.file);
  if (!wanted.every((file) => files.has(file))) return noEvidence;
  const shown = ({ width, height, file }: { width: number; height: number; file: string }) => ({
    width,
    height,
    image: blobOf(files.get(folder + file)!, 'image/jpeg'),
  });
  return {
    ...rest,
    ...(ribbon && { ribbon: { ...ribbon, picture: shown(ribbon.picture) } }),
    closeUps: closeUps.map((closeUp) => ({ ...closeUp, picture: shown(closeUp.picture) })),
  };
}

const blobOf = (bytes: Uint8Array, type: string): Blob => new Blob([new Uint8Array(bytes)], { type });

const mimeTypes: Partial<Record<ReturnType<typeof fileKind>, string>> = {
  jpeg: 'image/jpeg',
  png: 'image/png',
  webp: 'image/webp',
  heic: 'image/heic',
  avif: 'image/avif',
};

/** Photos of the archive made ready to keep, each once. */
class PhotoShelf {
  readonly photos: KeptPhoto[] = [];
  readonly #byPath = new Map<string, KeptPhoto>();
  readonly #buildId: string;
  readonly #files: ReadonlyMap<string, Uint8Array>;

  constructor(buildId: string, files: ReadonlyMap<string, Uint8Array>) {
    this.#buildId = buildId;
    this.#files = files;
  }

  photoAt(path: string, name: string): KeptPhoto {
    const known = this.#byPath.get(path);
    if (known) return known;
    const bytes = this.#files.get(path)!;
    const photo: KeptPhoto = {
      id: newId(),
      buildId: this.#buildId,
      name,
      file: blobOf(bytes, mimeTypes[fileKind(bytes)] ?? 'application/octet-stream'),
    };
    this.photos.push(photo);
    this.#byPath.set(path, photo);
    return photo;
  }
}
