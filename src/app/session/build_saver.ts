import type { Build } from '../../store/build.ts';
import type { Shelf } from '../../store/shelf.ts';
import { isOutOfSpace } from '../../store/space.ts';
import type { SaveState } from './state.ts';

/** Saves builds as they change: never two writes at once, and always the newest state last. */
export class BuildSaver {
  readonly #shelf: Shelf;
  readonly #report: (save: SaveState, build: Build) => void;
  readonly #waiting = new Map<string, Build>();
  #writing: Promise<void> | undefined;
  /** the kept revision of each build this tab has saved: newer than what a queued state knows */
  readonly #revisions = new Map<string, number>();

  constructor(shelf: Shelf, report: (save: SaveState, build: Build) => void) {
    this.#shelf = shelf;
    this.#report = report;
  }

  save(build: Build): void {
    this.#waiting.set(build.id, build);
    this.#writing ??= this.#writeAll().finally(() => {
      this.#writing = undefined;
    });
  }

  /** The build was read afresh: its revision there is the one to go on from. */
  readAt(id: string, revision: number): void {
    this.#revisions.set(id, revision);
  }

  /** Whether this tab wrote that revision itself or has already read it. */
  knows(id: string, revision: number): boolean {
    return (this.#revisions.get(id) ?? 0) >= revision;
  }

  /** Settles when everything handed over so far is written or has failed. */
  async flush(): Promise<void> {
    await this.#writing;
  }

  async #writeAll(): Promise<void> {
    for (const build of this.#waiting.values()) {
      this.#waiting.delete(build.id);
      this.#report({ kind: 'saving' }, build);
      try {
        const outcome = await this.#shelf.save({
          ...build,
          revision: this.#revisions.get(build.id) ?? build.revision,
        });
        if (outcome.kind === 'saved') {
          this.#revisions.set(build.id, outcome.build.revision);
          this.#report({ kind: 'saved' }, outcome.build);
        } else this.#report(outcome, build);
      } catch (error) {
        this.#report(
          isOutOfSpace(error)
            ? { kind: 'out-of-space' }
            : { kind: 'failed', message: error instanceof Error ? error.message : String(error) },
          build,
        );
      }
    }
  }
}
