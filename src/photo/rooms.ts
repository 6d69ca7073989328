/** A room may be so many times as large as what is to lie in it: of many that are nearly of a size each fits any. */
const mostSpare = 1.5;

/** Rooms are made a little larger, by up to this share, so that fewer sizes of them stand about. */
const steps = 8;

/**
 * Rooms in memory that are used again and again, so many bytes altogether: new ones would pile up faster than they are
 * collected, and each few of them have the collector go over the whole heap.
 */
export class Rooms {
  readonly #most: number;
  #bytes = 0;
  /** since longest first */
  readonly #free: ArrayBuffer[] = [];

  constructor(most: number) {
    this.#most = most;
  }

  /**
   * A room for so many bytes: a free one, or a new one while there is space for it. `sendOut` has someone leave a room
   * and says whether anyone could: where nobody can, there are more rooms than there should be.
   */
  take(bytes: number, sendOut: () => boolean): ArrayBuffer {
    const size = roomFor(bytes);
    for (;;) {
      const room = this.#fitting(bytes, mostSpare * size);
      if (room) return room;
      if (this.#bytes + size <= this.#most || !(this.#giveUp() || sendOut())) {
        this.#bytes += size;
        return new ArrayBuffer(size);
      }
    }
  }

  give(room: ArrayBuffer): void {
    this.#free.push(room);
  }

  /** The smallest free room between two sizes, no longer free. */
  #fitting(least: number, most: number): ArrayBuffer | undefined {
    const [room] = this.#free
      .filter(({ byteLength }) => byteLength >= least && byteLength <= most)
      .sort((a, b) => a.byteLength - b.byteLength);
    if (room) this.#free.splice(this.#free.indexOf(room), 1);
    return room;
  }

  /** Does away with the room that has been free for longest. */
  #giveUp(): boolean {
    const room = this.#free.shift();
    this.#bytes -= room?.byteLength ?? 0;
    return room !== undefined;
  }
}

function roomFor(bytes: number): number {
  const step = 2 ** Math.max(Math.floor(Math.log2(Math.max(bytes, 1))) - Math.log2(steps), 3);
  return Math.ceil(bytes / step) * step;
}
