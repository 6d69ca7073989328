import type { NamedGuide } from '../plan/files/guide_set.ts';
import type { Build, BuildSummary, KeptCheck, KeptPhoto } from './build.ts';
import * as kept from './builds.ts';
import type { Database } from './database.ts';
import { type KeptLens, type KeptMat, readKeptLens, readKeptMat } from './kept_profile.ts';
import { readGuide } from './kept_schema.ts';
import { NamedShelf } from './named_shelf.ts';

/**
 * Where builds, photos, checks and guide shapes are put. What the browser's database does not take (or all of it, when
 * there is no database) stays in memory, so that nothing is lost while the tab is open; `unkept` says so until `retry`
 * has written it or nothing wants it any more.
 */
export class Shelf {
  /** the builder's own guide shapes */
  readonly guides: NamedShelf<'guides'>;
  /** the lenses of the builder's cameras, one a camera */
  readonly lenses: NamedShelf<'lenses'>;
  /** the taped mats kept for every build */
  readonly mats: NamedShelf<'mats'>;
  readonly #database: Database | undefined;
  readonly #builds = new Map<string, Build>();
  readonly #photos = new Map<string, KeptPhoto>();
  readonly #checks = new Map<string, KeptCheck>();
  /** photos that checks of this session rest on */
  readonly #checked = new Set<string>();
  #failure: unknown;

  constructor(database: Database | undefined) {
    this.#database = database;
    const write = (work: (database: Database) => Promise<void>) => this.#write(work);
    const guides = { store: 'guides', keyOf: ({ name }: NamedGuide) => name, read: readGuide } as const;
    this.guides = new NamedShelf(guides, database, write);
    const lenses = { store: 'lenses', keyOf: ({ camera }: KeptLens) => camera, read: readKeptLens } as const;
    this.lenses = new NamedShelf(lenses, database, write);
    const mats = { store: 'mats', keyOf: ({ id }: KeptMat) => id, read: readKeptMat } as const;
    this.mats = new NamedShelf(mats, database, write);
  }

  async list(): Promise<BuildSummary[]> {
    const written = this.#database ? await kept.listBuilds(this.#database) : [];
    const waiting = await Promise.all(
      [...this.#builds.values()].map(async (build) => kept.summaryOf(build, (await this.checks(build.id)).checks)),
    );
    const known = new Set(waiting.map(({ id }) => id));
    const all = [...waiting, ...written.filter(({ id }) => !known.has(id))];
    return all.toSorted((a, b) => b.changedAt.localeCompare(a.changedAt));
  }

  async load(id: string): Promise<Build | 'damaged' | undefined> {
    return this.#builds.get(id) ?? (this.#database && (await kept.loadBuild(this.#database, id)));
  }

  /** Writes a build; one that could not be written is in memory, and the reason is thrown. */
  async save(build: Build): Promise<kept.SaveOutcome> {
    this.#builds.set(build.id, build);
    if (!this.#database) return { kind: 'saved', build };
    const outcome = await kept.saveBuild(this.#database, build);
    this.#builds.delete(build.id);
    return outcome;
  }

  async remove(id: string): Promise<void> {
    this.#builds.delete(id);
    for (const store of [this.#photos, this.#checks])
      for (const [key, value] of store) if (value.buildId === id) store.delete(key);
    if (this.#database) await kept.removeBuild(this.#database, id);
  }

  /** Keeps photos, in memory where they can't be written. */
  async keepPhotos(photos: readonly KeptPhoto[]): Promise<void> {
    for (const photo of photos) this.#photos.set(photo.id, photo);
    await this.#write(async (database) => {
      await kept.keepPhotos(database, photos);
      for (const photo of photos) this.#photos.delete(photo.id);
    });
  }

  async photoFile(id: string): Promise<Blob | undefined> {
    return this.#photos.get(id)?.file ?? (this.#database && (await kept.photoFile(this.#database, id)));
  }

  /** Keeps a check, in memory where it can't be written. */
  async keepCheck(check: KeptCheck): Promise<void> {
    for (const id of Object.values(check.photoIds)) this.#checked.add(id);
    this.#checks.set(check.id, check);
    await this.#write(async (database) => {
      await kept.keepCheck(database, check);
      this.#checks.delete(check.id);
    });
  }

  /** A build's checks, the last one first, and how many more are kept that can't be read. */
  async checks(buildId: string): Promise<{ checks: KeptCheck[]; damaged: number }> {
    const written = this.#database ? await kept.listChecks(this.#database, buildId) : { checks: [], damaged: 0 };
    const waiting = [...this.#checks.values()].filter((check) => check.buildId === buildId);
    return {
      checks: [...waiting, ...written.checks].toSorted((a, b) => b.at.localeCompare(a.at)),
      damaged: written.damaged,
    };
  }

  /** Everything kept under a build's id as it stands, whether it can be read or not. */
  async raw(buildId: string): Promise<{ build: unknown; checks: unknown[]; photos: unknown[] }> {
    return this.#database ? kept.rawBuild(this.#database, buildId) : { build: undefined, checks: [], photos: [] };
  }

  /**
   * Why something is only in memory that this build as it stands wants kept: one of its photos, a check, a guide shape,
   * a lens, a mat. Undefined when all of it is written, or there is no database to write to.
   */
  unkept({ id, document }: Build): { why: unknown } | undefined {
    if (!this.#database) return undefined;
    const wanted =
      this.#namedUnkept() > 0 ||
      [...this.#checks.values()].some(({ buildId }) => buildId === id) ||
      [...this.#photos.values()].some(({ id: photo, buildId }) => buildId === id && this.#checked.has(photo)) ||
      document.shoot.photos.some((photo) => this.#photos.has(photo.id));
    return wanted ? { why: this.#failure } : undefined;
  }

  /** Whether anything at all is only in this tab. */
  holdsUnkept(): boolean {
    return this.#builds.size + this.#photos.size + this.#checks.size + this.#namedUnkept() > 0;
  }

  #namedUnkept(): number {
    return this.guides.unkept + this.lenses.unkept + this.mats.unkept;
  }

  /** Writes photos, checks, guide shapes, lenses and mats that are still only in memory. */
  async retry(): Promise<void> {
    if (this.#photos.size > 0) await this.keepPhotos([...this.#photos.values()]);
    for (const check of this.#checks.values()) await this.keepCheck(check);
    for (const named of [this.guides, this.lenses, this.mats]) await named.retry();
  }

  async #write(work: (database: Database) => Promise<void>): Promise<void> {
    if (!this.#database) return;
    try {
      await work(this.#database);
    } catch (error) {
      this.#failure = error;
    }
  }
}
