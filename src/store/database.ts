import { reason } from '../plan/reason.ts';
import { type DBSchema, type IDBPDatabase, type IDBPTransaction, openDB } from 'idb';
import type { NamedGuide } from '../plan/files/guide_set.ts';
import type { Build, KeptCheck, KeptPhoto } from './build.ts';
import type { KeptLens, KeptMat } from './kept_profile.ts';

export interface Kept extends DBSchema {
  builds: { key: string; value: Build };
  photos: { key: string; value: KeptPhoto; indexes: { byBuild: string } };
  checks: { key: string; value: KeptCheck; indexes: { byBuild: string } };
  /** the builder's own guide shapes, for every build */
  guides: { key: string; value: NamedGuide };
  /** lenses of the builder's cameras, for every build */
  lenses: { key: string; value: KeptLens };
  /** taped mats solved once, for every build that lies on them */
  mats: { key: string; value: KeptMat };
}

export type Database = IDBPDatabase<Kept>;
type Upgrade = IDBPTransaction<
  Kept,
  ('builds' | 'photos' | 'checks' | 'guides' | 'lenses' | 'mats')[],
  'versionchange'
>;

/** Step i takes a database from version i to i + 1. A step is never edited once people have run it. */
const steps: ((database: Database, upgrade: Upgrade) => void)[] = [
  (database) => {
    database.createObjectStore('builds', { keyPath: 'id' });
    database.createObjectStore('photos', { keyPath: 'id' }).createIndex('byBuild', 'buildId');
  },
  (database) => {
    database.createObjectStore('checks', { keyPath: 'id' }).createIndex('byBuild', 'buildId');
  },
  (database) => {
    database.createObjectStore('guides', { keyPath: 'name' });
  },
  (database) => {
    database.createObjectStore('lenses', { keyPath: 'camera' });
  },
  (database) => {
    database.createObjectStore('mats', { keyPath: 'id' });
  },
];

/** The database's schema version. */
export const databaseVersion = steps.length;

/** A database that has not answered by then does not answer, ms. */
const longestWait = 5000;

/**
 * Why the browser's database can't be used: another version of the app has it, it does not answer, or its own words.
 */
export class NoDatabase extends Error {
  readonly kind: 'newer' | 'older-tab' | 'silent' | 'refused';
  constructor(kind: NoDatabase['kind'], message = kind as string) {
    super(message);
    this.kind = kind;
  }
}

/**
 * Opens the browser's database of builds, bringing an older one up to date first.
 *
 * @param onOlderTab called when a newer app in another tab wants to upgrade: this connection has then been closed
 * @throws NoDatabase when the browser keeps nothing (private mode, blocked storage), a newer app wrote the database, an
 * older one in another tab holds it, or it does not answer
 */
export async function openDatabase(onOlderTab: () => void): Promise<Database> {
  let stop: (why: NoDatabase) => void = () => {};
  const stopped = new Promise<never>((_, reject) => {
    stop = reject;
  });
  const wait = setTimeout(() => stop(new NoDatabase('silent')), longestWait);
  // where storage is blocked, opening throws at once
  const opened = Promise.resolve().then(() =>
    openDB<Kept>('prewrap', databaseVersion, {
      upgrade(database, from, _to, transaction) {
        for (const step of steps.slice(from)) step(database, transaction);
      },
      blocked: () => stop(new NoDatabase('older-tab')),
      blocking(_current, _blocked, event) {
        (event.target as IDBDatabase).close();
        onOlderTab();
      },
    }),
  );
  try {
    return await Promise.race([opened, stopped]);
  } catch (error) {
    // one that opens after all is not used half way through the page's life
    opened.then(
      (late) => late.close(),
      () => {},
    );
    if (error instanceof NoDatabase) throw error;
    const newer = error instanceof Error && error.name === 'VersionError';
    throw new NoDatabase(newer ? 'newer' : 'refused', reason(error));
  } finally {
    clearTimeout(wait);
  }
}
