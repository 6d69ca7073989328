/** A stretch of the store's bytes. */
interface Span {
  from: number;
  to: number;
}

/** Whatever is laid into a room begins as numbers of eight bytes do. */
const aligned = (bytes: number): number => Math.ceil(bytes / 8) * 8;

/**
 * One store of so many bytes, and rooms in it that are used again and again. New memory each time would pile up faster
 * than it is collected and have the collector go over the whole heap every few photos; and pieces of it that stay lie
 * scattered among what passes, whose room the system then does not get back.
 */
export class Rooms {
  readonly #size: number;
  /** made when it is first needed; of its pages only those are taken that something lies in */
  #store: ArrayBuffer | undefined;
  /** in order, none touching another */
  #free: Span[];

  constructor(size: number) {
    this.#size = size;
    this.#free = [{ from: 0, to: size }];
  }

  /**
   * A room for so many bytes. `sendOut` has someone leave another and says whether anyone could: where nobody can, the
   * room is one outside the store.
   */
  take(bytes: number, sendOut: () => boolean): Uint8Array {
    const size = aligned(bytes);
    for (;;) {
      const span = this.#free.find(({ from, to }) => to - from >= size);
      if (span) {
        const { from } = span;
        span.from += size;
        if (span.from === span.to) this.#free.splice(this.#free.indexOf(span), 1);
        this.#store ??= new ArrayBuffer(this.#size);
        return new Uint8Array(this.#store, from, bytes);
      }
      if (size > this.#size || !sendOut()) return new Uint8Array(bytes);
    }
  }

  give(room: Uint8Array): void {
    if (room.buffer !== this.#store) return;
    const given = { from: room.byteOffset, to: room.byteOffset + aligned(room.length) };
    this.#free = [...this.#free, given]
      .sort((a, b) => a.from - b.from)
      .reduce<Span[]>((joined, span) => {
        const last = joined.at(-1);
        if (last?.to === span.from) last.to = span.to;
        else joined.push(span);
        return joined;
      }, []);
  }
}
