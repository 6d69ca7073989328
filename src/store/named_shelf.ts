import type { Database, Kept } from './database.ts';

/** The stores of what serves every build, each thing with a name and a key of its own. */
type NamedStore = 'guides' | 'lenses' | 'mats';
type Named<S extends NamedStore> = Kept[S]['value'];

/** Where named things are written, and by what they are told apart and read. */
interface NamedThings<S extends NamedStore> {
  store: S;
  keyOf: (thing: Named<S>) => string;
  /** undefined for one that is none */
  read: (kept: unknown) => Named<S> | undefined;
}

/** Guide shapes, lenses or mats: in the database, and in memory what that did not take. */
export class NamedShelf<S extends NamedStore> {
  readonly #things: NamedThings<S>;
  readonly #database: Database | undefined;
  readonly #write: (work: (database: Database) => Promise<void>) => Promise<void>;
  readonly #waiting = new Map<string, Named<S>>();

  /** `write` does its work where there is a database, and notes why that failed */
  constructor(
    things: NamedThings<S>,
    database: Database | undefined,
    write: (work: (database: Database) => Promise<void>) => Promise<void>,
  ) {
    this.#things = things;
    this.#database = database;
    this.#write = write;
  }

  /** All that can be read, by name. */
  async all(): Promise<Named<S>[]> {
    const { store, keyOf, read } = this.#things;
    const written: unknown[] = this.#database ? await this.#database.getAll(store) : [];
    const sound = written.map(read).filter((thing) => thing !== undefined);
    const all = new Map([...sound, ...this.#waiting.values()].map((thing) => [keyOf(thing), thing]));
    return [...all.values()].toSorted((a, b) => a.name.localeCompare(b.name, undefined, { numeric: true }));
  }

  /** Keeps one in place of another of the same key, in memory where it can't be written. */
  async keep(thing: Named<S>): Promise<void> {
    const { store, keyOf } = this.#things;
    this.#waiting.set(keyOf(thing), thing);
    await this.#write(async (database) => {
      await database.put(store, thing);
      this.#waiting.delete(keyOf(thing));
    });
  }

  async remove(key: string): Promise<void> {
    this.#waiting.delete(key);
    await this.#database?.delete(this.#things.store, key);
  }

  /** How many are only in memory. */
  get unkept(): number {
    return this.#waiting.size;
  }

  /** Writes those that are only in memory. */
  async retry(): Promise<void> {
    for (const thing of this.#waiting.values()) await this.keep(thing);
  }
}
