import { shownName } from '../../plan/shown_name.ts';
import { shownList } from './spoken_list.ts';
import { counted } from './counted.ts';

const onceAll = 'Lay the tape along once more, from the other end if you can.';

/** What is said at the bench: getting it ready, and marking off. */
export const benchWords = {
  ready: 'Ready the bench',
  clean: 'Hands washed and the blank wiped clean',
  cleanHelp:
    'Oil from the skin keeps the finish from lying flat later. Wipe once more after the last pencil or wax mark.',
  tape: 'Tape cut for the feet',
  tapeNone: 'Strips are counted once the guides are in the list.',
  strip: (count: number, width: string, length: string) => `${count} × ${width} wide, ${length} long`,
  stripFor: (ids: string[]) => `for ${shownList(ids)}`,
  tapeHow: 'How strips are cut',
  tapeShare: 'Share of the foot a strip covers',
  tapeTurns: 'Turns round blank and foot',
  tapeHelp: 'The ring’s side of the foot stays free for the first turns of thread. Common practice, no source.',
  guides: 'Guides counted against the plan',
  guidesHelp: 'How many of each size lie there? An empty field is not counted yet.',
  ringSize: (size: string, planned: number) => `Rings ${size} across (${planned} planned)`,
  snakeSize: (length: string, planned: number) => `Snake guides ${length} long (${planned} planned)`,
  guidesAgree: 'They agree with the plan.',
  guidesDiffer: 'They differ from the plan: see “What to look at”.',
  guidesOpen: (left: number) =>
    counted(left, 'One size is still to be counted.', '# sizes are still to be counted.', true),
  tube: (mm: string, inches: string) =>
    `A tip-top’s tube of ${mm} inside fits this tip, sold in inches as ${inches}. Measure the tip first.`,

  balance: 'Balance, and where the seat goes',
  balanceHelp: 'Lay the rod without its reel over a finger: where it hangs level, its whole weight counts.',
  balanceRod: 'Rod without its reel',
  balanceRodAt: 'It hangs level at',
  balanceReel: 'Reel, with the seat if it moves too',
  balanceReelAt: 'Reel’s place from the tip',
  balanceAhead: 'Wanted: level this far before the reel',
  balancePoint: (at: string) => `With the reel there the rod hangs level ${at} from the tip.`,
  balanceSeat: (at: string) => `For that the reel goes ${at} from the tip.`,

  start: 'Mark off, one at a time',
  goOn: (done: number, all: number) => `Go on marking: ${done} of ${all} done`,
  again: 'All marked: look at it again',
  title: 'Mark off',
  progress: (done: number, all: number) => `${done} of ${all} marked`,
  gapFirst: (gap: string) => `${gap} from the tape’s zero`,
  gap: (gap: string, after: string) => `${gap} after ${shownName(after)}`,
  tap: 'Once it is marked, tap anywhere here or press space',
  marked: (id: string) => `${shownName(id)} is marked`,
  isMarked: 'Marked already',
  back: 'Back one',
  close: 'Close',
  anew: 'Begin anew',
  list: 'All places',
  chip: (id: string, reading: string, done: boolean) => `${shownName(id)}, ${reading}${done ? ', marked' : ''}`,
  allDone: (all: number) => counted(all, `The one place is marked. ${onceAll}`, `All # are marked. ${onceAll}`),
  asleep: 'This browser lets the screen go dark: set the device to stay on for now.',
  awake: 'The screen stays on.',
};
