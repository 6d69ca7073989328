import { parentPort } from 'node:worker_threads';
import { servePieces } from '../check/serve_pieces.ts';

/** A further thread of the command line: does pieces of a check. */
const port = parentPort!;
const serve = servePieces((message) => port.postMessage(message));
port.on('message', (message: unknown) => void serve(message));
