import type { HeldParts, HoldParts, KeepHeld } from './photo.ts';
import { Rooms } from './rooms.ts';

/**
 * So much is held in memory, bytes: the lanes of some dozen photos of 12 megapixels. More would save little: what
 * looks at many photos goes over them one by one.
 */
const inMemory = 80e6;

/** A file that nobody else sees, for what memory is not to hold. */
export interface FileAside {
  /** Writes these bytes; where they begin, undefined where there is no room for them. */
  add(bytes: Uint8Array): number | undefined;
  /** Fills these bytes with what lies there from `at` on. Throws where it is no longer there in full. */
  read(at: number, into: Uint8Array): void;
}

/** Parts of a photo, or of what was read in it: in a room of memory, or where they begin in the file aside, or both. */
class Held {
  room: Uint8Array | undefined;
  /** the parts in their room */
  parts: readonly Uint8Array[] = [];
  /** where they begin in the file, once they were written there */
  at: number | undefined;
  /** when they were looked at last, counted in looks */
  looked = 0;
  readonly bytes: number;
  readonly #sizes: readonly number[];

  constructor(parts: readonly Uint8Array[]) {
    this.#sizes = parts.map(({ length }) => length);
    this.bytes = this.#sizes.reduce((sum, size) => sum + size, 0);
  }

  /** Takes a room that is to be filled: with one part after the other, as they lie in the file. */
  moveInto(room: Uint8Array): void {
    let from = 0;
    this.parts = this.#sizes.map((size) => room.subarray(from, (from += size)));
    this.room = room;
  }

  moveOut(): void {
    this.room = undefined;
    this.parts = [];
  }
}

/**
 * Keeps what is held of photos in memory while it is not too much, and the rest in a file aside: what photos and parts
 * hold is fetched when it is looked at, and what was not looked at for longest makes room. What a look hands out stays
 * as it is until nearly as much as memory holds was looked at besides: then others lie in its place. Where the file
 * finds no room, memory holds them all.
 */
export function photosAside(file: FileAside, most: number = inMemory): { keep: KeepHeld; hold: HoldParts } {
  const rooms = new Rooms(most);
  const inRooms = new Set<Held>();
  let looks = 0;
  const leave = (held: Held) => {
    if (!inRooms.delete(held)) return;
    rooms.give(held.room!);
    held.moveOut();
  };
  /**
   * Sends the one out that was not looked at for longest, of those that lie in the file or find room there; never the
   * one that was looked at last.
   */
  const sendOut = (): boolean => {
    const longest = [...inRooms].sort((a, b) => a.looked - b.looked).slice(0, -1);
    const held = longest.find((one) => (one.at ??= file.add(one.room!)) !== undefined);
    if (held) leave(held);
    return held !== undefined;
  };
  const enter = (held: Held): Uint8Array => {
    const room = rooms.take(held.bytes, sendOut);
    held.moveInto(room);
    held.looked = ++looks;
    inRooms.add(held);
    return room;
  };
  const look = (held: Held): readonly Uint8Array[] => {
    if (!held.room) file.read(held.at!, enter(held));
    held.looked = ++looks;
    return held.parts;
  };
  const hold: HoldParts = (parts) => {
    const held = new Held(parts);
    enter(held);
    for (const [i, part] of parts.entries()) held.parts[i]!.set(part);
    return { look: () => look(held), letGo: () => leave(held) };
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
