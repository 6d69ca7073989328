import { type DBSchema, type IDBPDatabase, type IDBPTransaction, openDB } from 'idb';
import type { NamedGuide } from '../plan/files/guide_set.ts';
import type { Build, KeptCheck, KeptPhoto } from './build.ts';

export interface Kept extends DBSchema {
  builds: { key: string; value: Build };
  photos: { key: string; value: KeptPhoto; indexes: { byBuild: string } };
  checks: { key: string; value: KeptCheck; indexes: { byBuild: string } };
  /** the builder's own guide shapes, for every build */
  guides: { key: string; value: NamedGuide };
}

export type Database = IDBPDatabase<Kept>;
type Upgrade = IDBPTransaction<Kept, ('builds' | 'photos' | 'checks' | 'guides')[], 'versionchange'>;

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
];

/** The database's schema version. */
export const databaseVersion = steps.length;

/**
 * Opens the browser's database of builds, bringing an older one up to date first.
 *
 * @param onOlderTab called when a newer app in another tab wants to upgrade: this connection has then been closed
 * @throws when the browser keeps nothing (private mode, blocked storage) or a newer app wrote the database
 */
export async function openDatabase(onOlderTab: () => void): Promise<Database> {
  return openDB<Kept>('prewrap', databaseVersion, {
    upgrade(database, from, _to, transaction) {
      for (const step of steps.slice(from)) step(database, transaction);
    },
    blocking(_current, _blocked, event) {
      (event.target as IDBDatabase).close();
      onOlderTab();
    },
  });
}
