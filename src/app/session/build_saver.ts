import type { Build } from '../../store/build.ts';
import type { Shelf } from '../../store/shelf.ts';
import { isOutOfSpace } from '../../store/space.ts';
import { reason } from '../../plan/reason.ts';
import type { SaveState } from './state.ts';

/** What became of saving: `written` once the document itself is in the store. */
export interface SaveReport {
  save: SaveState;
  build: Build;
  written: boolean;
}

/**
 * Saves builds as they change: never two writes at once, and always the newest state last. A build is `saved` only when
 * its photos and checks are as well.
 */
export class BuildSaver {
  readonly #shelf: Shelf;
  readonly #report: (report: SaveReport) => void;
  readonly #waiting = new Map<string, Build>();
  /** builds whose document itself could not be written, and why */
  readonly #failed = new Map<string, SaveState>();
  #writing: Promise<void> | undefined;
  /** the kept revision of each build this tab has saved: newer than what a queued state knows */
  readonly #revisions = new Map<string, number>();

  constructor(shelf: Shelf, report: (report: SaveReport) => void) {
    this.#shelf = shelf;
    this.#report = report;
  }

  /** Settles when this and everything handed over before is written or has failed. */
  save(build: Build): Promise<void> {
    this.#waiting.set(build.id, build);
    this.#writing ??= this.#writeAll().finally(() => {
      this.#writing = undefined;
    });
    return this.#writing;
  }

  /** The build was read afresh: its revision there is the one to go on from. */
  readAt(id: string, revision: number): void {
    this.#revisions.set(id, revision);
    this.#failed.delete(id);
  }

  /** Whether this tab wrote that revision itself or has already read it. */
  knows(id: string, revision: number): boolean {
    return (this.#revisions.get(id) ?? 0) >= revision;
  }

  /** Settles when everything handed over so far is written or has failed. */
  async flush(): Promise<void> {
    await this.#writing;
  }

  /** Whether leaving the page now would lose something. */
  holdsUnsaved(): boolean {
    return this.#writing !== undefined || this.#failed.size > 0 || this.#shelf.holdsUnkept();
  }

  /** How far the whole of a build is kept, when no write of it is under way. */
  stateOf(build: Build): SaveState {
    const unkept = this.#shelf.unkept(build);
    return this.#failed.get(build.id) ?? (unkept ? failure(unkept.why) : { kind: 'saved' });
  }

  /** Reports anew how far a build is kept, after photos, checks or guides were. */
  review(build: Build): void {
    if (!this.#writing) this.#report({ save: this.stateOf(build), build, written: false });
  }

  async #writeAll(): Promise<void> {
    for (const build of this.#waiting.values()) {
      this.#waiting.delete(build.id);
      this.#report({ save: { kind: 'saving' }, build, written: false });
      try {
        const revision = this.#revisions.get(build.id) ?? build.revision;
        const outcome = await this.#shelf.save({ ...build, revision });
        if (outcome.kind === 'saved') {
          this.#revisions.set(build.id, outcome.build.revision);
          this.#failed.delete(build.id);
          this.#report({ save: this.stateOf(outcome.build), build: outcome.build, written: true });
        } else this.#failedWith(outcome, build);
      } catch (error) {
        this.#failedWith(failure(error), build);
      }
    }
  }

  #failedWith(save: SaveState, build: Build): void {
    this.#failed.set(build.id, save);
    this.#report({ save, build, written: false });
  }
}

const failure = (why: unknown): SaveState =>
  isOutOfSpace(why) ? { kind: 'out-of-space' } : { kind: 'failed', message: reason(why) };
