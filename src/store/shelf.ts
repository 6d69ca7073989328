import type { NamedGuide } from '../plan/files/guide_set.ts';
import type { Build, BuildSummary, KeptCheck, KeptPhoto } from './build.ts';
import * as kept from './builds.ts';
import type { Database } from './database.ts';
import { type KeptLens, type KeptMat, readKeptLens, readKeptMat } from './kept_profile.ts';
import { readGuide } from './kept_schema.ts';

/**
 * Where builds, photos, checks and guide shapes are put. What the browser's database does not take (or all of it, when
 * there is no database) stays in memory, so that nothing is lost while the tab is open; `unkept` says so until `retry`
 * has written it or nothing wants it any more.
 */
export class Shelf {
  readonly #database: Database | undefined;
  readonly #builds = new Map<string, Build>();
  readonly #photos = new Map<string, KeptPhoto>();
  readonly #checks = new Map<string, KeptCheck>();
  readonly #guides = new Map<string, NamedGuide>();
  readonly #lenses = new Map<string, KeptLens>();
  readonly #mats = new Map<string, KeptMat>();
  /** photos that checks of this session rest on */
  readonly #checked = new Set<string>();
  #failure: unknown;

  constructor(database: Database | undefined) {
    this.#database = database;
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

  /** The builder's own guide shapes, by name. */
  async guides(): Promise<NamedGuide[]> {
    const written: unknown[] = this.#database ? await this.#database.getAll('guides') : [];
    const sound = written.map(readGuide).filter((guide) => guide !== undefined);
    const all = new Map([...sound, ...this.#guides.values()].map((guide) => [guide.name, guide]));
    return [...all.values()].toSorted((a, b) => a.name.localeCompare(b.name, undefined, { numeric: true }));
  }

  /** Keeps a guide shape in place of one of the same name, in memory where it can't be written. */
  async keepGuide(guide: NamedGuide): Promise<void> {
    this.#guides.set(guide.name, guide);
    await this.#write(async (database) => {
      await database.put('guides', guide);
      this.#guides.delete(guide.name);
    });
  }

  async removeGuide(name: string): Promise<void> {
    this.#guides.delete(name);
    await this.#database?.delete('guides', name);
  }

  /** The lenses of the builder's cameras, by name. */
  async lenses(): Promise<KeptLens[]> {
    const written: unknown[] = this.#database ? await this.#database.getAll('lenses') : [];
    const sound = written.map(readKeptLens).filter((lens) => lens !== undefined);
    const all = new Map([...sound, ...this.#lenses.values()].map((lens) => [lens.camera, lens]));
    return [...all.values()].toSorted((a, b) => a.name.localeCompare(b.name, undefined, { numeric: true }));
  }

  /** Keeps a lens in place of one of the same camera, in memory where it can't be written. */
  async keepLens(lens: KeptLens): Promise<void> {
    this.#lenses.set(lens.camera, lens);
    await this.#write(async (database) => {
      await database.put('lenses', lens);
      this.#lenses.delete(lens.camera);
    });
  }

  async removeLens(camera: string): Promise<void> {
    this.#lenses.delete(camera);
    await this.#database?.delete('lenses', camera);
  }

  /** The taped mats kept for every build, by name. */
  async mats(): Promise<KeptMat[]> {
    const written: unknown[] = this.#database ? await this.#database.getAll('mats') : [];
    const sound = written.map(readKeptMat).filter((mat) => mat !== undefined);
    const all = new Map([...sound, ...this.#mats.values()].map((mat) => [mat.id, mat]));
    return [...all.values()].toSorted((a, b) => a.name.localeCompare(b.name, undefined, { numeric: true }));
  }

  /** Keeps a mat, in memory where it can't be written. */
  async keepMat(mat: KeptMat): Promise<void> {
    this.#mats.set(mat.id, mat);
    await this.#write(async (database) => {
      await database.put('mats', mat);
      this.#mats.delete(mat.id);
    });
  }

  async removeMat(id: string): Promise<void> {
    this.#mats.delete(id);
    await this.#database?.delete('mats', id);
  }

  /**
   * Why something is only in memory that this build as it stands wants kept: one of its photos, a check, a guide shape,
   * a lens, a mat.
   * Undefined when all of it is written, or there is no database to write to.
   */
  unkept({ id, document }: Build): { why: unknown } | undefined {
    if (!this.#database) return undefined;
    const wanted =
      this.#guides.size + this.#lenses.size + this.#mats.size > 0 ||
      [...this.#checks.values()].some(({ buildId }) => buildId === id) ||
      [...this.#photos.values()].some(({ id: photo, buildId }) => buildId === id && this.#checked.has(photo)) ||
      document.shoot.photos.some((photo) => this.#photos.has(photo.id));
    return wanted ? { why: this.#failure } : undefined;
  }

  /** Whether anything at all is only in this tab. */
  holdsUnkept(): boolean {
    return (
      this.#builds.size +
        this.#photos.size +
        this.#checks.size +
        this.#guides.size +
        this.#lenses.size +
        this.#mats.size >
      0
    );
  }

  /** Writes photos, checks, guide shapes, lenses and mats that are still only in memory. */
  async retry(): Promise<void> {
    if (this.#photos.size > 0) await this.keepPhotos([...this.#photos.values()]);
    for (const check of this.#checks.values()) await this.keepCheck(check);
    for (const guide of this.#guides.values()) await this.keepGuide(guide);
    for (const lens of this.#lenses.values()) await this.keepLens(lens);
    for (const mat of this.#mats.values()) await this.keepMat(mat);
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
