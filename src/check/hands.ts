import type { DoPiece, PieceName, Pieces } from './pieces.ts';

/** Told the share of the pieces that are done or under way; waited for, and ends the work by throwing. */
export type TellShare = (done: number) => void | Promise<void>;

/** Who does a check's pieces: one thread, or several. */
export interface Hands {
  /**
   * Does `count` pieces, in whatever order, and gives what comes of each in theirs. `of` = the piece at a place, asked
   * once or twice, when it is begun.
   */
  each<K extends PieceName>(
    name: K,
    count: number,
    of: (place: number) => Pieces[K]['of'],
    onPiece?: TellShare,
  ): Promise<Pieces[K]['gives'][]>;
  /**
   * Begins a piece where that holds nothing up, and gives what asks for what comes of it: only then it is waited for,
   * or done if it was not begun.
   */
  begin<K extends PieceName>(name: K, of: Pieces[K]['of']): Begun<Pieces[K]['gives']>;
}

/** Something under way: asked for, it is waited for, and done where it is not. */
export type Begun<T> = () => Promise<T>;

/** All pieces one after the other on this thread. */
export const oneHand = (doPiece: DoPiece): Hands => ({
  async each<K extends PieceName>(
    name: K,
    count: number,
    of: (place: number) => Pieces[K]['of'],
    onPiece: TellShare = () => {},
  ) {
    const given: Pieces[K]['gives'][] = [];
    for (let place = 0; place < count; place++) {
      await onPiece(place / count);
      given.push(doPiece(name, of(place)));
    }
    return given;
  },
  begin: (name, of) => async () => doPiece(name, of),
});
