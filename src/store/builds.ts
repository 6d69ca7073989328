import type { Build, BuildSummary, KeptCheck, KeptPhoto } from './build.ts';
import type { Database } from './database.ts';
import { isCurrent } from './is_current.ts';

export type SaveOutcome =
  | { kind: 'saved'; build: Build }
  /** another tab saved the build since this one read it; nothing was written */
  | { kind: 'changed-elsewhere'; theirs: Build }
  /** it was thrown away in another tab; nothing was written */
  | { kind: 'gone' };

/** Writes a build unless its kept revision moved on; revision 0 means it was never kept. */
export async function saveBuild(database: Database, build: Build): Promise<SaveOutcome> {
  const transaction = database.transaction('builds', 'readwrite');
  const kept = await transaction.store.get(build.id);
  let outcome: SaveOutcome;
  if (kept && kept.revision !== build.revision) outcome = { kind: 'changed-elsewhere', theirs: kept };
  else if (!kept && build.revision > 0) outcome = { kind: 'gone' };
  else {
    const next = { ...build, revision: build.revision + 1, changedAt: new Date().toISOString() };
    await transaction.store.put(next);
    outcome = { kind: 'saved', build: next };
  }
  await transaction.done;
  return outcome;
}

export const loadBuild = (database: Database, id: string): Promise<Build | undefined> => database.get('builds', id);

/** Every build, the one changed last first. */
export async function listBuilds(database: Database): Promise<BuildSummary[]> {
  const builds = await database.getAll('builds');
  const summaries = await Promise.all(
    builds.map(async ({ id, document, sample, changedAt }): Promise<BuildSummary> => {
      const last = (await listChecks(database, id))[0];
      return {
        id,
        title: document.plan.title,
        thread: document.thread,
        sample,
        changedAt,
        ...(last && isCurrent(last, document) ? { verdict: last.report.verdict } : {}),
      };
    }),
  );
  return summaries.toSorted((a, b) => b.changedAt.localeCompare(a.changedAt));
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
  return (await database.get('photos', id))?.file;
}

export const keepCheck = async (database: Database, check: KeptCheck): Promise<void> => {
  await database.put('checks', check);
};

/** A build's checks, the last one first. */
export async function listChecks(database: Database, buildId: string): Promise<KeptCheck[]> {
  const checks = await database.getAllFromIndex('checks', 'byBuild', buildId);
  return checks.toSorted((a, b) => b.at.localeCompare(a.at));
}

/** Deletes photos that neither the shoot in hand nor a kept check uses any more. */
export async function dropUnusedPhotos(database: Database, build: Build): Promise<void> {
  const used = new Set(build.document.shoot.photos.map((photo) => photo.id));
  for (const check of await listChecks(database, build.id))
    for (const id of Object.values(check.photoIds)) used.add(id);
  const transaction = database.transaction('photos', 'readwrite');
  for (const key of await transaction.store.index('byBuild').getAllKeys(build.id))
    if (!used.has(key)) await transaction.store.delete(key);
  await transaction.done;
}
