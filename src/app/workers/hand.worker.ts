import { servePieces } from '../../check/serve_pieces.ts';
import { lockDown } from './lock_down.ts';

lockDown();
/** Does pieces of a check for the check's worker, which starts it. */
const serve = servePieces((message) => postMessage(message));
self.onmessage = (event: MessageEvent<unknown>) => void serve(event.data);
