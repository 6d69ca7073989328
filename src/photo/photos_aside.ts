import type { HeldParts, HoldParts, KeepHeld } from './photo.ts';

/** So much is held in memory, bytes: the lanes of some two dozen photos of 12 megapixels. */
const inMemory = 150e6;

/** A file that nobody else sees, for what memory is not to hold. */
export interface FileAside {
  /** Writes these bytes, one after the other; where they begin, undefined where there is no room for them. */
  add(parts: readonly Uint8Array[]): number | undefined;
  /** Reads so many bytes from there on. Throws where they are no longer there in full. */
  read(at: number, length: number): Uint8Array;
}

/** Parts of a photo, or of what was read in it: in memory, or where they begin in the file aside, or both. */
class Held {
  parts: readonly Uint8Array[] | undefined;
  /** where they begin in the file, once they were written there */
  at: number | undefined;
  /** whether they were looked at since the hand went round last */
  used = true;
  readonly bytes: number;
  readonly #sizes: readonly number[];

  constructor(parts: readonly Uint8Array[]) {
    this.parts = parts;
    this.#sizes = parts.map(({ length }) => length);
    this.bytes = this.#sizes.reduce((sum, size) => sum + size, 0);
  }

  read(file: FileAside): Uint8Array[] {
    const whole = file.read(this.at!, this.bytes);
    let from = 0;
    return this.#sizes.map((size) => whole.subarray(from, (from += size)));
  }
}

/**
 * Keeps what is held of photos in memory while it is not too much, and the rest in a file aside: what photos and parts
 * hold is fetched when it is looked at, and what was not looked at for longest makes room (the clock, Corbató 1968).
 * Where the file finds no room, memory holds them all.
 */
export function photosAside(file: FileAside, most: number = inMemory): { keep: KeepHeld; hold: HoldParts } {
  const all: Held[] = [];
  let resident = 0;
  let hand = 0;
  /** Lets go of what was not looked at, but for what was asked for just now. */
  const makeRoom = (but: Held) => {
    for (let looked = 0; resident > most && looked < 2 * all.length; looked++) {
      const held = all[hand]!;
      hand = (hand + 1) % all.length;
      if (held === but || !held.parts) continue;
      if (held.used) held.used = false;
      else {
        held.at ??= file.add(held.parts);
        if (held.at === undefined) return;
        held.parts = undefined;
        resident -= held.bytes;
      }
    }
  };
  const looked = (held: Held): readonly Uint8Array[] => {
    held.used = true;
    if (held.parts) return held.parts;
    const parts = held.read(file);
    held.parts = parts;
    resident += held.bytes;
    makeRoom(held);
    return parts;
  };
  const hold: HoldParts = (parts) => {
    const held = new Held(parts);
    all.push(held);
    resident += held.bytes;
    makeRoom(held);
    const letGo = () => {
      const at = all.indexOf(held);
      if (at < 0) return;
      all.splice(at, 1);
      if (at < hand) hand--;
      if (hand >= all.length) hand = 0;
      if (held.parts) resident -= held.bytes;
    };
    return { look: () => looked(held), letGo };
  };
  return { hold, keep: keeping(hold) };
}

const keeping =
  (hold: HoldParts): KeepHeld =>
  ({ luma, blueDifference, redDifference, ...facts }) => {
    const planes = hold([luma, blueDifference, redDifference]);
    return {
      ...facts,
      get luma() {
        return planes.look()[0]!;
      },
      get blueDifference() {
        return planes.look()[1]!;
      },
      get redDifference() {
        return planes.look()[2]!;
      },
    };
  };

/** Does some work, and lets go at its end of all that it kept meanwhile. */
export function holdingMeanwhile<T>(hold: HoldParts | undefined, work: (hold: HoldParts | undefined) => T): T {
  if (!hold) return work(undefined);
  const taken: HeldParts[] = [];
  try {
    return work((parts) => {
      const held = hold(parts);
      taken.push(held);
      return held;
    });
  } finally {
    for (const held of taken) held.letGo();
  }
}
