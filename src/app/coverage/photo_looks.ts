import { reason } from '../../plan/reason.ts';
import type { PhotoEntry } from '../../store/build.ts';
import { tagBridge } from '../workers/bridges.ts';
import type { PhotoLook } from '../workers/tag_tasks.ts';

/** How far the look at a photo is. */
export type LookState =
  | { kind: 'waiting' }
  /** `fetching` is the share of the tag reader that has arrived, until it has */
  | { kind: 'looking'; fetching?: number }
  | { kind: 'seen'; look: PhotoLook }
  | { kind: 'failed'; message: string };

export type Looks = ReadonlyMap<string, LookState>;

/**
 * Looks at photos in the worker, one after the other, each once: a kept photo never changes. What was seen stays for as
 * long as the page lives; after a reload the photos are looked at again.
 */
export class PhotoLooks {
  #looks = new Map<string, LookState>();
  readonly #listeners = new Set<() => void>();

  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };
  readonly snapshot = (): Looks => this.#looks;

  /** Looks at those of the photos that were not looked at yet. */
  want(photos: readonly PhotoEntry[], fileOf: (id: string) => Promise<Blob | undefined>): void {
    for (const photo of photos) {
      if (this.#looks.has(photo.id)) continue;
      this.#set(photo.id, { kind: 'waiting' });
      void this.#look(photo, fileOf);
    }
  }

  /** What was seen of a photo before it was added. */
  remember(id: string, look: PhotoLook): void {
    this.#set(id, { kind: 'seen', look });
  }

  async #look({ id, name }: PhotoEntry, fileOf: (id: string) => Promise<Blob | undefined>): Promise<void> {
    try {
      const file = await fileOf(id);
      if (!file) throw new Error(`${name} is no longer kept`);
      this.#set(id, { kind: 'looking' });
      const onProgress = (fetching: number) =>
        this.#set(id, fetching < 1 ? { kind: 'looking', fetching } : { kind: 'looking' });
      const look = await tagBridge.ask('photo', { name, file, base: document.baseURI }, { onProgress });
      this.#set(id, { kind: 'seen', look });
    } catch (error) {
      this.#set(id, { kind: 'failed', message: reason(error) });
    }
  }

  #set(id: string, state: LookState): void {
    this.#looks = new Map(this.#looks).set(id, state);
    for (const listener of this.#listeners) listener();
  }
}

export const photoLooks = new PhotoLooks();
