import type { KeepHeld, Photo } from './photo.ts';

/** So much of the photos is held in memory, bytes: the lanes of some two dozen photos of 12 megapixels. */
const inMemory = 150e6;

/** A file that nobody else sees, for what memory is not to hold. */
export interface FileAside {
  /** Writes these bytes, one after the other; where they begin, undefined where there is no room for them. */
  add(parts: readonly Uint8Array[]): number | undefined;
  /** Reads so many bytes from there on. Throws where they are no longer there in full. */
  read(at: number, length: number): Uint8Array;
}

type Planes = Pick<Photo, 'luma' | 'blueDifference' | 'redDifference'>;
const planeNames = ['luma', 'blueDifference', 'redDifference'] as const;

/** A photo's planes: in memory, or where they begin in the file aside, or both. */
class HeldPlanes {
  planes: Planes | undefined;
  /** where they begin in the file, once they were written there */
  at: number | undefined;
  /** whether they were looked at since the hand went round last */
  used = true;
  readonly #sizes: readonly number[];

  constructor(planes: Planes) {
    this.planes = planes;
    this.#sizes = planeNames.map((name) => planes[name].length);
  }

  get bytes(): number {
    return this.#sizes.reduce((sum, size) => sum + size, 0);
  }

  read(file: FileAside): Planes {
    const whole = file.read(this.at!, this.bytes);
    let from = 0;
    const [luma, blueDifference, redDifference] = this.#sizes.map((size) => whole.subarray(from, (from += size)));
    return { luma: luma!, blueDifference: blueDifference!, redDifference: redDifference! };
  }
}

/**
 * Keeps what is held of photos in memory while it is not too much, and the rest in a file aside: what a photo's planes
 * hold is fetched when it is looked at, and what was not looked at for longest makes room (the clock, Corbató 1968).
 * Where the file finds no room, memory holds them all.
 */
export function photosAside(file: FileAside, most: number = inMemory): KeepHeld {
  const all: HeldPlanes[] = [];
  let resident = 0;
  let hand = 0;
  /** Lets go of what was not looked at, but for what was asked for just now. */
  const makeRoom = (but: HeldPlanes) => {
    for (let looked = 0; resident > most && looked < 2 * all.length; looked++) {
      const held = all[hand]!;
      hand = (hand + 1) % all.length;
      if (held === but || !held.planes) continue;
      if (held.used) held.used = false;
      else {
        held.at ??= file.add(planeNames.map((name) => held.planes![name]));
        if (held.at === undefined) return;
        held.planes = undefined;
        resident -= held.bytes;
      }
    }
  };
  const looked = (held: HeldPlanes): Planes => {
    held.used = true;
    if (held.planes) return held.planes;
    const planes = held.read(file);
    held.planes = planes;
    resident += held.bytes;
    makeRoom(held);
    return planes;
  };
  return ({ luma, blueDifference, redDifference, ...facts }) => {
    const held = new HeldPlanes({ luma, blueDifference, redDifference });
    all.push(held);
    resident += held.bytes;
    makeRoom(held);
    return {
      ...facts,
      get luma() {
        return looked(held).luma;
      },
      get blueDifference() {
        return looked(held).blueDifference;
      },
      get redDifference() {
        return looked(held).redDifference;
      },
    };
  };
}
