import { shownName } from '../../plan/shown_name.ts';
/** What running a check says. */
export const checkWords = {
  starting: 'Starting…',
  thePlan: 'The plan',
  stopped: 'Stopped.',
  run: 'Check the rod',
  runAgain: 'Check again',
  newRound: 'Moved something? Take new photos',
  morePhotos: 'Take the photos',
  toRecord: 'Sign it off',
  cancel: 'Stop',
  running: 'Checking',
  progress: 'Progress of the check',
  drawing: 'Drawing the pictures',
  keptLens: 'the kept lens',
  keptMat: 'the kept mat',
  fetchingMeasure: 'Fetching the measuring part (once)',
  interrupted: 'The page closed in the middle of a check. The plan and the photos are all here; run it again.',
  stale: 'The plan, the mat or the photos changed since this check.',
  stoppedHelp: 'The check was stopped. Nothing was lost.',
};

/** The answer in words. */
export const answerWords = {
  label: 'Is it ready',
  stale: 'An earlier answer, for another plan or other photos:',
  whatMoves: 'What must move',
  whatSettles: 'What would settle the rest',
  todo: (id: string, signs: string[]) => `${shownName(id)}: ${signs.join(', and ')}.`,
};

/** How sure the answer is. */
export const sureWords = {
  title: 'How sure it is',
  along: (doubt: string, id: string) =>
    `Along the rod each place is known to ${doubt} or better (${shownName(id)} is the least sure).`,
  roll: (degrees: string) => `Roll is known to ${degrees} degrees or better.`,
  scale: (doubt: string, rod: string) => `The mat’s own ruler can be out by ${doubt} over the rod’s ${rod}.`,
  noScale: 'Neither the mat’s print nor the span was measured, so its scale is not known and nothing is passed.',
  photos: (count: number) =>
    count === 1 ? 'All of it comes from one photo.' : `${count} photos were measured together.`,
  meaning: '“Known to” holds about 19 times in 20.',
  from: 'Where the doubt comes from',
  upTo: (doubt: string) => `up to ${doubt}`,
  parts: {
    scale: 'The ruler: rule, tape and print',
    geometry: 'Camera and mat: where each photo was taken from',
    reading: 'Reading the ring or mark in the photos',
    tip: 'Where the tip ends',
  },
  inSquares: 'They add as squares: halving the largest helps most.',
};

/** This check beside the one before. */
export const comparisonWords = {
  title: 'Against the check before',
  place: 'Place',
  before: 'Before',
  after: 'Now',
  moved: 'Moved',
  by: (length: string, towardButt: boolean) => `${length} toward the ${towardButt ? 'butt' : 'tip'}`,
  same: 'stayed',
  notAsked: 'not in that check',
};

/** Checks made earlier. */
export const historyWords = { title: 'Checks of this build' };
