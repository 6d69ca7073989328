import { listText } from '../../verdict/wording.ts';

/** What is said of a bare blank: how it is turned, what was measured of it, and what goes into the plan. */
export const blankWords = {
  stage: 'Bare blank',
  stageHint:
    'Its length, its thickness every 25 mm and its bow, before anything is planned. Let every stretch show in a photo from straight above, in soft light.',
  turn: 'How far the blank is turned since the first shoot',
  turnHint: 'Clockwise as seen from the butt, by eye. Four shoots, a quarter turn apart, tell its straightest axis.',
  turnOpen: 'not said',
  turnAt: (degrees: number) => (degrees === 0 ? '0°, as in the first shoot' : `${degrees}°`),
  turnChange: 'how far the blank is turned',

  drawing: 'The blank as measured',
  drawingSays: (length: string) => `The blank seen from above, tip at the left, ${length}`,
  drawingHelp: (times: number) =>
    `Seen from above, tip at the left. Across, thickness and bow are drawn ${times} times as large as along. The dashed line runs straight from end to end; what stands above it bows to the right, as seen from the butt.`,
  table: 'Thickness and bow, place by place',
  tableWindow: 'Thickness and bow, place by place; scrolls sideways',
  tableHelp:
    'To the right is as seen from the butt, up is away from the paper; both from the straight line between the first place and the last. ± is the doubt: about 95 in 100 lie within it.',

  fill: 'Fill the plan',
  fillHelp: 'Tick what the plan is to take over. What is not ticked stays as it is; one undo takes all of it back.',
  pieceLength: (planned: string, measured: string, off: boolean) =>
    `By the plan this piece is ${planned} from end to end, all that sticks out included; measured ${measured}.${
      off ? ' Where the tape agrees with the photos, correct the joint or the rod’s length on the plan.' : ''
    }`,
  parts: {
    length: 'Length, tip to butt',
    tipDiameter: 'Diameter at the tip',
    buttDiameter: 'Diameter at the butt, a few millimetres before its end',
    stations: 'Diameters between tip and butt, for the bend',
    ferrule: 'Ferrule or sleeve',
    'winding-check': 'Winding check or trim before the grip',
    grip: 'Where the grip begins; where it ends is yours to say',
  },
  measured: (what: string) => `measured: ${what}`,
  stands: (what: string | undefined) => (what === undefined ? 'in the plan now: nothing' : `in the plan now: ${what}`),
  station: (diameter: string, at: string) => `${diameter} at ${at}`,
  stationsDoubt: (stations: string, doubt: string) => `${stations}, each give or take ${doubt}`,
  stretch: (from: string, to: string) => `from ${from} to ${to}`,
  stretchDoubt: (stretch: string, doubt: string) => `${stretch}, each give or take ${doubt}`,
  nothingFits: 'The plan has all of it already.',
  use: 'Fill in what is ticked',
  filled: 'Filled in. Undo takes it back.',
  change: 'the measured blank',

  axis: 'Its straightest axis',
  axisMore: (turns: string[], open: string[]) =>
    `Measured with the blank turned by ${listText(turns)}. Shoot it at ${listText(open)} as well, and its straightest axis is told.`,
  axisHelp:
    'From the last check at each turn. All must be of the same blank, tip end at the same end of the mat. A line drawn along it is told against the bow where it lies toward the camera in one of the shoots.',
  axisTable: 'How far it bows to the side, line by line round the blank',
  quarter: (turn: number) => `Turn the blank to ${turn}° and shoot it again`,
  newRound: 'Take new photos of it',
  turned: (turn: number) => `Turned ${turn}°`,
  toRecord: 'To the record',
  toPlan: 'To the plan',
};
