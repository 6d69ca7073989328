import * as z from 'zod/mini';
import { reason } from '../plan/reason.ts';
import { type FinderWeights, loadFinder } from '../vision/finder/finder.ts';
import { arraysMadeAnew } from './arrays_made_anew.ts';
import { type DoPiece, piecesBy, pieceNames } from './pieces.ts';

const bytes = z.instanceof(Uint8Array);
const begunSchema = z.object({ weights: z.object({ strip: bytes, lane: bytes, tip: bytes }) });
const handedSchema = z.object({ piece: z.number(), name: z.enum(pieceNames), of: z.unknown() });

/** A piece as it is handed to a further thread; `of` as `Pieces` has it under that name. */
export type Handed = z.infer<typeof handedSchema>;

/**
 * A further thread's side of `twoHands`: answers the messages that it is given, first the finder's weights and then one
 * piece after the other. What goes wrong is told by number, and the thread goes on.
 */
export function servePieces(answer: (message: unknown) => void): (message: unknown) => Promise<void> {
  let doing: Promise<DoPiece> | undefined;
  const begin = async (weights: FinderWeights) => piecesBy(await loadFinder(weights));
  return async (message) => {
    const begun = begunSchema.safeParse(message);
    if (begun.success) {
      doing = begin(begun.data.weights);
      // told with the first piece
      doing.catch(() => {});
      return;
    }
    const { piece, name, of } = handedSchema.parse(message);
    try {
      const doPiece = await doing;
      if (!doPiece) throw new Error('pieces came before the finder’s weights');
      answer({ piece, gives: doPiece(name, arraysMadeAnew(of) as never) });
    } catch (error) {
      answer({ piece, failed: reason(error) });
    }
  };
}
