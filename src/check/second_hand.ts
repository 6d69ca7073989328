import * as z from 'zod/mini';
import type { FinderWeights } from '../vision/finder/finder.ts';
import { arraysMadeAnew } from './arrays_made_anew.ts';
import type { Begun, Hands, TellShare } from './hands.ts';
import type { DoPiece, PieceName, Pieces } from './pieces.ts';
import type { Handed } from './serve_pieces.ts';

/** A further thread, as the command line or a browser's worker starts one: messages to it, and what is heard of it. */
export interface FurtherThread {
  post: (message: unknown, transfer: ArrayBuffer[]) => void;
  /** hears each message of the thread, and once that it ended or could not be started */
  listen: (heard: { message: (message: unknown) => void; ended: () => void }) => void;
  end: () => void;
}

const answerSchema = z.union([
  z.object({ piece: z.number(), gives: z.unknown() }),
  z.object({ piece: z.number(), failed: z.string() }),
]);

const sharing = {
  /** a second piece waits at the thread, lest it be idle while this one is busy, where more than so many are left */
  ahead: 2,
  /** a thread that has said nothing for so long while this one waited for it is taken for dead, ms */
  patience: 20_000,
} as const;

/**
 * Shares pieces between this thread (`here`) and a further one, which makes its finder of the same weights. What the
 * thread does not bring, be it that it never started, died, fell silent, said what makes no sense or failed at a piece,
 * is done here: the answers are the same, and what fails fails as it does here. `letGo` ends the thread.
 */
export function twoHands(
  here: DoPiece,
  thread: FurtherThread,
  weights: FinderWeights,
  patience: number = sharing.patience,
): Hands & { letGo: () => void } {
  const second = new SecondHand(thread, weights);
  async function each<K extends PieceName>(
    name: K,
    count: number,
    of: (place: number) => Pieces[K]['of'],
    onPiece: TellShare = () => {},
  ): Promise<Pieces[K]['gives'][]> {
    const given: Pieces[K]['gives'][] = [];
    const open = Array.from({ length: count }, (_, place) => place);
    const handed = new Set<number>();
    let heard = () => {};
    const handOver = (place: number): void => {
      handed.add(place);
      second.take(name, of(place), (answer) => {
        // taken back meanwhile
        if (!handed.delete(place)) return;
        if (answer) given[place] = answer.gives as Pieces[K]['gives'];
        else open.push(place);
        heard();
      });
    };
    while (open.length + handed.size > 0) {
      while (second.isThere && open.length > 1 && handed.size < (open.length > sharing.ahead ? 2 : 1))
        handOver(open.shift()!);
      const place = open.shift();
      if (place !== undefined) {
        await onPiece((count - open.length - handed.size - 1) / count);
        given[place] = here(name, of(place));
        // hears what the thread has said meanwhile
        await new Promise((resolve) => setTimeout(resolve));
      } else if (handed.size > 1) {
        // the one that waits at the thread is sooner done here
        const waiting = [...handed].at(-1)!;
        handed.delete(waiting);
        open.push(waiting);
      } else if (!(await within(patience, new Promise<void>((resolve) => (heard = resolve))))) second.letGo();
    }
    return given;
  }
  function begin<K extends PieceName>(name: K, of: Pieces[K]['of']): Begun<Pieces[K]['gives']> {
    if (!second.isThere) return async () => here(name, of);
    const brought = new Promise<Given | undefined>((resolve) => second.take(name, of, resolve));
    return async () => {
      if (!(await within(patience, brought))) second.letGo();
      const answer = await brought;
      return answer ? (answer.gives as Pieces[K]['gives']) : here(name, of);
    };
  }
  return { each, begin, letGo: () => second.letGo() };
}

/** What came of a piece, as the thread says it. */
type Given = { gives: unknown };

/** A further thread as one that pieces are handed to. */
class SecondHand {
  isThere = true;
  readonly #thread: FurtherThread;
  #pieces = 0;
  /** who is to be told of each piece that the thread has */
  readonly #out = new Map<number, (answer: Given | undefined) => void>();

  constructor(thread: FurtherThread, weights: FinderWeights) {
    this.#thread = thread;
    thread.listen({ message: (message) => this.#hear(message), ended: () => this.letGo() });
    this.#post({ weights });
  }

  /** Hands a piece over; `tell` hears what comes of it, or that the thread does not bring it. */
  take<K extends PieceName>(name: K, of: Pieces[K]['of'], tell: (answer: Given | undefined) => void): void {
    const piece = ++this.#pieces;
    this.#out.set(piece, tell);
    const copies: ArrayBuffer[] = [];
    this.#post({ piece, name, of: owned(of, copies) } satisfies Handed, copies);
  }

  letGo(): void {
    if (!this.isThere) return;
    this.isThere = false;
    this.#thread.end();
    for (const tell of this.#out.values()) tell(undefined);
    this.#out.clear();
  }

  #post(message: unknown, transfer: ArrayBuffer[] = []): void {
    try {
      this.#thread.post(message, transfer);
    } catch {
      this.letGo();
    }
  }

  #hear(message: unknown): void {
    const parsed = answerSchema.safeParse(message);
    if (!parsed.success) return this.letGo();
    const { piece, ...answer } = parsed.data;
    const tell = this.#out.get(piece);
    this.#out.delete(piece);
    tell?.('gives' in answer ? { gives: arraysMadeAnew(answer.gives) } : undefined);
  }
}

/** Whether something comes before so many ms have passed. */
async function within(patience: number, something: Promise<unknown>): Promise<boolean> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const late = new Promise<false>((resolve) => (timer = setTimeout(() => resolve(false), patience)));
  try {
    return await Promise.race([something.then(() => true), late]);
  } finally {
    clearTimeout(timer);
  }
}

/**
 * Plain data of its own: numbers that lie in a larger piece of memory (as what is held of photos does) are copied out
 * of it, since a message would carry all of that along, and noted among `copies`; what is read when it is asked for is
 * read. What stands in it twice (`met`) stays one.
 */
function owned(value: unknown, copies: ArrayBuffer[], met = new Map<object, unknown>()): unknown {
  if (typeof value !== 'object' || value === null) return value;
  const before = met.get(value);
  if (before !== undefined) return before;
  const own = ownedNow(value, copies, met);
  met.set(value, own);
  return own;
}

function ownedNow(value: object, copies: ArrayBuffer[], met: Map<object, unknown>): unknown {
  if (ArrayBuffer.isView(value)) {
    const numbers = value as Uint8Array;
    if (numbers.byteLength === numbers.buffer.byteLength) return numbers;
    const copy = numbers.slice();
    copies.push(copy.buffer);
    return copy;
  }
  if (Array.isArray(value)) return value.map((one) => owned(one, copies, met));
  return Object.fromEntries(Object.entries(value).map(([key, own]) => [key, owned(own, copies, met)]));
}
