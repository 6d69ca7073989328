import type { PieceEnd } from '../../plan/pieces/joint.ts';
import type { Joint } from '../../plan/plan.ts';
import { counted } from './counted.ts';

const ends: Record<PieceEnd, string> = {
  tip: 'the tip',
  butt: 'the butt end',
  ferrule: 'the ferrule',
  opening: 'the edge of its opening',
  spigot: 'the end of the spigot',
  'end that goes in': 'the end that goes in',
};
const pieces = { tip: 'the piece nearer the tip', butt: 'the piece nearer the butt' };
const name = (piece: number, of: number): string =>
  `Piece ${piece} of ${of}${piece === 1 ? ', with the tip' : piece === of ? ', with the butt' : ''}`;

/** What is said of a rod that comes apart. */
export const pieceWords = {
  title: 'Pieces: where the rod comes apart',
  help: 'Length and places above are those of the rod put together, so that what lies inside is counted once.',
  joint: (number: number) => `Joint ${number}, from the tip`,
  next: 'Next joint',
  add: 'Add this joint',
  remove: (number: number) => `Take out joint ${number}`,
  added: (number: number) => `joint ${number}`,
  kind: 'Kind of joint',
  kinds: { spigot: 'spigot, a plug glued into one piece', sleeve: 'sleeve, one piece slides over the other' },
  inner: { spigot: 'The spigot is glued into', sleeve: 'What goes inside is' } satisfies Record<Joint['kind'], string>,
  pieces,
  at: 'The piece nearer the tip ends, on its outside, at',
  length: { spigot: 'The spigot stands out by', sleeve: 'One reaches into the other by' } satisfies Record<
    Joint['kind'],
    string
  >,
  gap: 'Gap that shows, put together',
  gapHelp: 'A new spigot shows a few millimetres, so that it can wear; none when empty. Common practice, no source.',
  play: 'Play: it may still close by',
  playHelp: 'As a sleeve wears, one piece goes further over the other: say how far it may, or leave it empty.',
  gapTooLong: 'The spigot would not reach: measure both again.',
  list: 'The pieces',
  piece: name,
  pieceFacts: (length: string, tipSide: PieceEnd, buttSide: PieceEnd, places: number) =>
    `${length} from ${ends[tipSide]} to ${ends[buttSide]}, ${counted(places, 'one place', '# places')} on it`,
  measureThem: 'Measure each piece: where the tape says otherwise, a joint or the length above is to be corrected.',

  marksFrom: 'Measured, on each piece, from its',
  marksEnds: { tip: 'end nearer the tip', butt: 'end nearer the butt' },
  marksFromEnd: (end: PieceEnd) => `Every distance is measured from ${ends[end]}.`,
  marksNone: 'Nothing is planned on this piece.',

  onMat: 'Say what lies on the mat',
  onMatHelp: 'Check each piece by itself, and the rod put together for its joints.',
  together: 'The rod put together',
  togetherHint: 'Tells also how far the pieces are turned against each other at the joints.',
  alone: (length: string) => `${length} from end to end, all that sticks out included.`,
  noSeat: 'Only the piece with the reel seat can hold the seat card: this one’s rings are held against each other.',
  change: 'what lies on the mat',
  shown: (piece: number, of: number) => `On the mat: piece ${piece} of ${of}`,
  shownTogether: 'On the mat: the rod put together',
  shoot: (piece: number | undefined) =>
    piece === undefined ? 'Take photos of the rod put together' : `Take photos of piece ${piece}`,

  recordAll: 'The whole rod',
  record: 'Record of the rod, piece by piece',
  recordPageHelp:
    'The one file holds every piece with its pictures. It opens on any phone or computer without Prewrap.',
  recordTogether: 'The rod put together',
  unchecked: 'Not checked yet.',
  noPlaces: 'Nothing is planned on this piece.',
  old: 'The plan or the photos changed since this check.',
  marksOnly: 'Only its marks were checked.',
  jointsUnchecked: 'The joints were not checked: the rod was not shot put together.',
  ready: 'Every piece is ready.',
  open: 'Not every piece is ready.',
};
