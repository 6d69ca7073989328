import type { NamedGuide } from '../plan/files/guide_set.ts';
import type { Build, BuildSummary, KeptCheck, KeptPhoto } from './build.ts';
import * as kept from './builds.ts';
import type { Database } from './database.ts';

/**
 * Where builds, photos and checks are put. What the browser's database has no room for (or all of it, when there is no
 * database) stays in memory, so that nothing is lost while the tab is open, and is written by `retry`.
 */
export class Shelf {
  readonly #database: Database | undefined;
  readonly #builds = new Map<string, Build>();
  readonly #photos = new Map<string, KeptPhoto>();
  readonly #checks = new Map<string, KeptCheck>();
  readonly #guides = new Map<string, NamedGuide>();

  constructor(database: Database | undefined) {
    this.#database = database;
  }

  async list(): Promise<BuildSummary[]> {
    if (this.#database) return kept.listBuilds(this.#database);
    return [...this.#builds.values()].map(({ id, document, sample, changedAt }) => ({
      id,
      title: document.plan.title,
      thread: document.thread,
      sample,
      changedAt,
    }));
  }

  async load(id: string): Promise<Build | undefined> {
    return this.#database ? kept.loadBuild(this.#database, id) : this.#builds.get(id);
  }

  async save(build: Build): Promise<kept.SaveOutcome> {
    if (this.#database) return kept.saveBuild(this.#database, build);
    this.#builds.set(build.id, build);
    return { kind: 'saved', build };
  }

  async remove(id: string): Promise<void> {
    this.#builds.delete(id);
    for (const store of [this.#photos, this.#checks])
      for (const [key, value] of store) if (value.buildId === id) store.delete(key);
    if (this.#database) await kept.removeBuild(this.#database, id);
  }

  /** Keeps photos; when that throws they are in memory and can be used all the same. */
  async keepPhotos(photos: readonly KeptPhoto[]): Promise<void> {
    for (const photo of photos) this.#photos.set(photo.id, photo);
    if (!this.#database) return;
    await kept.keepPhotos(this.#database, photos);
    for (const photo of photos) this.#photos.delete(photo.id);
  }

  async photoFile(id: string): Promise<Blob | undefined> {
    return this.#photos.get(id)?.file ?? (this.#database && (await kept.photoFile(this.#database, id)));
  }

  /** Keeps a check; when that throws it is in memory. */
  async keepCheck(check: KeptCheck): Promise<void> {
    this.#checks.set(check.id, check);
    if (!this.#database) return;
    await kept.keepCheck(this.#database, check);
    this.#checks.delete(check.id);
  }

  /** A build's checks, the last one first. */
  async checks(buildId: string): Promise<KeptCheck[]> {
    const written = this.#database ? await kept.listChecks(this.#database, buildId) : [];
    const waiting = [...this.#checks.values()].filter((check) => check.buildId === buildId);
    return [...waiting, ...written].toSorted((a, b) => b.at.localeCompare(a.at));
  }

  /** The builder's own guide shapes, by name. */
  async guides(): Promise<NamedGuide[]> {
    const written = this.#database ? await this.#database.getAll('guides') : [];
    const all = new Map([...written, ...this.#guides.values()].map((guide) => [guide.name, guide]));
    return [...all.values()].toSorted((a, b) => a.name.localeCompare(b.name, undefined, { numeric: true }));
  }

  /** Keeps a guide shape in place of one of the same name; when that throws it is in memory. */
  async keepGuide(guide: NamedGuide): Promise<void> {
    this.#guides.set(guide.name, guide);
    if (!this.#database) return;
    await this.#database.put('guides', guide);
    this.#guides.delete(guide.name);
  }

  async removeGuide(name: string): Promise<void> {
    this.#guides.delete(name);
    await this.#database?.delete('guides', name);
  }

  /** Writes what is still only in memory. */
  async retry(): Promise<void> {
    if (this.#photos.size > 0) await this.keepPhotos([...this.#photos.values()]);
    for (const check of this.#checks.values()) await this.keepCheck(check);
    for (const guide of this.#guides.values()) await this.keepGuide(guide);
  }

  async dropUnusedPhotos(build: Build): Promise<void> {
    if (this.#database) await kept.dropUnusedPhotos(this.#database, build);
  }
}
