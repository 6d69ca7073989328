import { encodeText, packBuild } from './archive.ts';
import { withoutLocation } from '../photo/strip_location.ts';
import { InputError } from '../plan/input_error.ts';
import { parsePlan, planToFile } from '../plan/files/plan_file.ts';
import type { Plan } from '../plan/plan.ts';
import { plannedByHand } from '../plan/planned_by_hand.ts';
import { renamedPhotos } from '../plan/files/renamed_photos.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { shootToFile } from '../plan/files/shoot_file.ts';
import { reportToText } from '../verdict/report_file.ts';
import type { ArchiveFile, EvidenceFile } from './archive_file.ts';
import type { Build, KeptCheck, ShownEvidence, ShownPicture } from './build.ts';
import { isCurrent, isSame } from './is_current.ts';
import { pieceInHand, planInHand } from './plan_in_hand.ts';
import { freeName, plainName } from './photo_name.ts';

export interface ExportInput {
  build: Build;
  /** the last one first */
  checks: readonly KeptCheck[];
  /** kept photos by id, as many as are still there */
  photos: ReadonlyMap<string, Blob>;
}

export interface ExportedBuild {
  zip: Blob;
  /** names of photos that could not be freed of their location, or are no longer kept, and stayed behind */
  leftOut: string[];
}

const json = (value: unknown): Uint8Array => encodeText(`${JSON.stringify(value, null, 1)}\n`);
const bytesOf = async (blob: Blob): Promise<Uint8Array> => new Uint8Array(await blob.arrayBuffer());

/** A zip while it is packed. */
interface Packing {
  /** by path */
  files: Map<string, Uint8Array>;
  /** where a photo went, by its id */
  paths: Map<string, string>;
  leftOut: Set<string>;
  photos: ExportInput['photos'];
}

/**
 * Packs a photo free of its location, unless it is in the zip already: its path from `folder`, undefined when it stays
 * behind.
 */
async function addPhoto(
  { files, paths, leftOut, photos }: Packing,
  id: string,
  name: string,
  folder: string,
): Promise<string | undefined> {
  const stored = paths.get(id);
  if (stored !== undefined) return `${'../'.repeat(folder.split('/').length - 1)}${stored}`;
  const blob = photos.get(id);
  const clean = blob && withoutLocation(await bytesOf(blob));
  if (!clean) {
    leftOut.add(name);
    return undefined;
  }
  const path = freeName(folder + plainName(name), new Set(files.keys()));
  paths.set(id, path);
  files.set(path, clean);
  return path.slice(folder.length);
}

/** Packs a check's report and pictures, and its plan and shoot where they are its `own`. */
async function addCheck(
  packing: Packing,
  check: KeptCheck,
  folder: string,
  own: boolean,
): Promise<ArchiveFile['checks'][number]> {
  const { files } = packing;
  const { photos: names, ...shoot } = check.shoot;
  const kept: { name: string; path: string }[] = [];
  for (const name of names) {
    const path = await addPhoto(packing, check.photoIds[name] ?? '', name, folder);
    if (path !== undefined) kept.push({ name, path });
  }
  files.set(`${folder}report.json`, encodeText(reportToText(check.report)));
  await addEvidence(files, folder, check.evidence);
  if (own) {
    files.set(`${folder}plan.json`, json(planToFile(check.plan)));
    if (kept.length > 0) files.set(`${folder}shoot.json`, json(shootToFile(filed(check.plan, shoot, kept))));
  }
  return { id: check.id, at: check.at, folder, photos: kept.map(({ name }) => name) };
}

/**
 * A build as one zip: the shoot in hand as a folder that can be verified (plan.json, shoot.json, its photos,
 * report.json), earlier checks in folders of their own, build.json for the rest. Photos are freed of their location; a
 * photo several shoots used is stored once.
 */
export async function exportBuild({ build, checks, photos }: ExportInput): Promise<ExportedBuild> {
  const { document } = build;
  const packing: Packing = { files: new Map(), paths: new Map(), leftOut: new Set(), photos };
  const { files, leftOut } = packing;
  const { id: _, photos: entries, piece: __, ...shootReadings } = document.shoot;
  // a piece the plan no longer has is not written
  const piece = pieceInHand(document);
  const readings = { ...shootReadings, ...(piece !== undefined && { piece }) };
  const inHand: { name: string; addedAt: string; path: string }[] = [];
  for (const { id, name, addedAt } of entries) {
    const path = await addPhoto(packing, id, name, '');
    if (path !== undefined) inHand.push({ name, addedAt, path });
  }
  files.set('plan.json', json(planToFile(document.plan)));

  const archived: ArchiveFile['checks'] = [];
  let earlierMarks: string | undefined;
  for (const check of checks) {
    // the folder's plan is the one in hand: a check of another keeps its own beside it
    const current = check === checks[0] && isCurrent(check, document) && isSame(check.plan, planInHand(document));
    const folder = current ? '' : folderFor(check, archived);
    archived.push(await addCheck(packing, check, folder, !current));
    if (check.report.stage === 'marks') earlierMarks ??= `${folder}report.json`;
  }

  const marks = guidesAreOn(readings.stage) && earlierMarks !== undefined ? { earlierMarks } : {};
  if (inHand.length > 0)
    files.set('shoot.json', json(shootToFile(filed(document.plan, { ...readings, ...marks }, inHand))));
  const archive: ArchiveFile = {
    schema: 'prewrap.build-archive/1',
    id: build.id,
    createdAt: build.createdAt,
    changedAt: build.changedAt,
    thread: document.thread,
    lengths: document.lengths,
    sample: build.sample,
    ...(document.written && { written: document.written }),
    ...(document.printed && { printed: document.printed }),
    ...(inHand.length === 0 && { readings }),
    ...(isWhole(document.plan) ? {} : { unfinishedPlan: document.plan }),
    photos: inHand.map(({ path, addedAt }) => ({ name: path, addedAt })),
    checks: archived,
  };
  files.set('build.json', json(archive));
  const zip = packBuild(files, new Date());
  return { zip: new Blob([zip], { type: 'application/zip' }), leftOut: [...leftOut] };
}

/**
 * A shoot as the zip's own folders name its photos, with nothing set by hand that its plan or photos no longer have.
 */
const filed = (plan: Plan, shoot: Omit<Shoot, 'photos'>, photos: readonly { name: string; path: string }[]): Shoot =>
  renamedPhotos(
    plannedByHand(plan, shoot),
    photos.map(({ name, path }) => ({ from: name, to: path })),
  );

function isWhole(plan: Plan): boolean {
  try {
    parsePlan(planToFile(plan));
    return true;
  } catch (error) {
    if (error instanceof InputError) return false;
    throw error;
  }
}

function folderFor(check: KeptCheck, taken: ArchiveFile['checks']): string {
  const stem = `earlier/${check.at.slice(0, 19).replaceAll(':', '-').replace('T', ' ')} ${check.report.stage}`;
  const used = new Set(taken.map(({ folder }) => folder));
  let folder = `${stem}/`;
  for (let i = 2; used.has(folder); i++) folder = `${stem} ${i}/`;
  return folder;
}

async function addEvidence(files: Map<string, Uint8Array>, folder: string, evidence: ShownEvidence): Promise<void> {
  const filed = async ({ image, width, height }: ShownPicture, name: string) => {
    const file = `pictures/${name}.jpg`;
    files.set(folder + file, await bytesOf(image));
    return { width, height, file };
  };
  const { ribbon, closeUps, ...rest } = evidence;
  const file: EvidenceFile = {
    ...rest,
    ...(ribbon && { ribbon: { ...ribbon, picture: await filed(ribbon.picture, 'ribbon') } }),
    closeUps: await Promise.all(
      closeUps.map(async (closeUp, k) => ({ ...closeUp, picture: await filed(closeUp.picture, `close-up-${k + 1}`) })),
    ),
  };
  files.set(`${folder}evidence.json`, encodeText(JSON.stringify(file)));
}
