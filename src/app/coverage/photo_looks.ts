import { reason } from '../../plan/reason.ts';
import type { PhotoEntry } from '../../store/build.ts';
import { photoBridges } from '../workers/bridges.ts';
import type { PhotoLook, TagTasks } from '../workers/tag_tasks.ts';
import type { WorkerBridge } from '../workers/worker_bridge.ts';

/** How far the look at a photo is. */
export type LookState =
  | { kind: 'waiting' }
  /** `fetching` is the share of the tag reader that has arrived, until it has */
  | { kind: 'looking'; fetching?: number }
  | { kind: 'seen'; look: PhotoLook }
  | { kind: 'failed'; message: string };

export type Looks = ReadonlyMap<string, LookState>;

/** What looks at photos. */
type PhotoBridge = Pick<WorkerBridge<TagTasks>, 'ask' | 'inHand'>;

/**
 * Looks at photos in the workers, as many at once as these are, each once: a kept photo never changes. What was seen
 * stays for as long as the page lives; after a reload the photos are looked at again.
 */
export class PhotoLooks {
  #looks = new Map<string, LookState>();
  readonly #listeners = new Set<() => void>();
  readonly #bridges: readonly PhotoBridge[];

  constructor(bridges: readonly PhotoBridge[]) {
    this.#bridges = bridges;
  }

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
      const bridge = this.#bridges.reduce((least, other) => (other.inHand < least.inHand ? other : least));
      const look = await bridge.ask('photo', { name, file, base: document.baseURI }, { onProgress });
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

export const photoLooks = new PhotoLooks(photoBridges);
