import type { Build, BuildSummary, KeptCheck, KeptPhoto } from './build.ts';
import type { Database } from './database.ts';
import { dueOf } from './due.ts';
import { isCurrent } from './is_current.ts';
import { readBuild, readCheck, readPhoto, readRevision } from './kept_schema.ts';

export type SaveOutcome =
  | { kind: 'saved'; build: Build }
  /** another tab saved the build since this one read it; nothing was written */
  | { kind: 'changed-elsewhere' }
  /** it was thrown away in another tab; nothing was written */
  | { kind: 'gone' };

/** Writes a build unless its kept revision moved on; revision 0 means it was never kept. */
export async function saveBuild(database: Database, build: Build): Promise<SaveOutcome> {
  const transaction = database.transaction('builds', 'readwrite');
  const kept: unknown = await transaction.store.get(build.id);
  let outcome: SaveOutcome;
  if (kept && readRevision(kept) !== build.revision) outcome = { kind: 'changed-elsewhere' };
  else if (!kept && build.revision > 0) outcome = { kind: 'gone' };
  else {
    const next = { ...build, revision: build.revision + 1, changedAt: new Date().toISOString() };
    await transaction.store.put(next);
    outcome = { kind: 'saved', build: next };
  }
  await transaction.done;
  return outcome;
}

/** A kept build; `damaged` where something stands under its id that is no build. */
export async function loadBuild(database: Database, id: string): Promise<Build | 'damaged' | undefined> {
  const kept: unknown = await database.get('builds', id);
  return kept === undefined ? undefined : (readBuild(kept) ?? 'damaged');
}

/** Every build, the one changed last first, those that can't be read at the end. */
export async function listBuilds(database: Database): Promise<BuildSummary[]> {
  const keys = await database.getAllKeys('builds');
  const summaries = await Promise.all(
    keys.map(async (id): Promise<BuildSummary> => {
      const build = await loadBuild(database, id);
      if (!build || build === 'damaged')
        return { id, damaged: true, title: '', thread: '', sample: false, changedAt: '' };
      const { checks } = await listChecks(database, id);
      return summaryOf(build, checks);
    }),
  );
  return summaries.toSorted((a, b) => b.changedAt.localeCompare(a.changedAt));
}

/** What the list shows of a build and its checks, the last one first. */
export function summaryOf({ id, document, sample, changedAt }: Build, [last]: readonly KeptCheck[]): BuildSummary {
  return {
    id,
    title: document.plan.title,
    thread: document.thread,
    sample,
    changedAt,
    due: dueOf(document, last),
    ...(last && isCurrent(last, document) ? { verdict: last.report.verdict } : {}),
  };
}

/** Throws away a build with its photos and checks, all or nothing. */
export async function removeBuild(database: Database, id: string): Promise<void> {
  const transaction = database.transaction(['builds', 'photos', 'checks'], 'readwrite');
  await transaction.objectStore('builds').delete(id);
  for (const name of ['photos', 'checks'] as const) {
    const store = transaction.objectStore(name);
    for (const key of await store.index('byBuild').getAllKeys(id)) await store.delete(key);
  }
  await transaction.done;
}

export async function keepPhotos(database: Database, photos: readonly KeptPhoto[]): Promise<void> {
  const transaction = database.transaction('photos', 'readwrite');
  await Promise.all([...photos.map((photo) => transaction.store.put(photo)), transaction.done]);
}

export async function photoFile(database: Database, id: string): Promise<Blob | undefined> {
  return readPhoto(await database.get('photos', id))?.file;
}

export const keepCheck = async (database: Database, check: KeptCheck): Promise<void> => {
  await database.put('checks', check);
};

/** A build's checks, the last one first, and how many more are kept that can't be read. */
export async function listChecks(
  database: Database,
  buildId: string,
): Promise<{ checks: KeptCheck[]; damaged: number }> {
  const kept: unknown[] = await database.getAllFromIndex('checks', 'byBuild', buildId);
  const checks = kept.map(readCheck).filter((check) => check !== undefined);
  return {
    checks: checks.toSorted((a, b) => b.at.localeCompare(a.at)),
    damaged: kept.length - checks.length,
  };
}

/** Everything kept under a build's id as it stands, whether it can be read or not. */
export async function rawBuild(
  database: Database,
  id: string,
): Promise<{ build: unknown; checks: unknown[]; photos: unknown[] }> {
  return {
    build: await database.get('builds', id),
    checks: await database.getAllFromIndex('checks', 'byBuild', id),
    photos: await database.getAllFromIndex('photos', 'byBuild', id),
  };
}

/**
 * Deletes photos that neither a build's shoot in hand nor a kept check of it uses. Where a build or a check can't be
 * read, all of the build's photos stay. Only to be called while no tab can want one back by undo.
 */
export async function dropUnusedPhotos(database: Database): Promise<void> {
  for (const id of await database.getAllKeys('builds')) {
    const build = await loadBuild(database, id);
    const { checks, damaged } = await listChecks(database, id);
    if (!build || build === 'damaged' || damaged > 0) continue;
    const used = new Set([
      ...build.document.shoot.photos.map((photo) => photo.id),
      ...checks.flatMap((check) => Object.values(check.photoIds)),
    ]);
    const transaction = database.transaction('photos', 'readwrite');
    for (const key of await transaction.store.index('byBuild').getAllKeys(id))
      if (!used.has(key)) await transaction.store.delete(key);
    await transaction.done;
  }
}
