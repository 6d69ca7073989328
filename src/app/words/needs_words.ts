import { counted } from './counted.ts';

/** What each step has and still needs. */
export const needWords = {
  planEmpty: 'Say where each guide goes, measured from the tip.',
  planUnread: (count: number) => counted(count, 'One field can’t be read yet.', '# fields can’t be read yet.', true),
  planBlank: 'Say how long the blank is and how thick at each end.',
  planDone: (count: number) => counted(count, 'One guide planned.', '# guides planned.', true),
  matPlain: 'Print the mat, measure one tile and the span.',
  matBars: 'One tile is measured. The tape over the whole mat (the span) makes lengths surer.',
  matDone: 'Printed, laid and measured.',
  planRough: 'Say about how long the blank is and how thick at each end: its photos say it exactly.',
  planBare: 'Enough to measure the bare blank.',
  photosEmpty: 'Take four to eight photos along the rod, some from the side.',
  photosOne: 'One photo is a quick look. Take four to eight to sign the rod off.',
  photosFew: (count: number) => counted(count, 'One photo.', '# photos. Four or more make it sure.', true),
  photosDone: (count: number) => counted(count, 'One photo.', '# photos.', true),
  checkBlankBlocked: 'The check needs the blank’s rough size and at least one photo.',
  checkMeasured: 'The blank is measured.',
  checkBlocked: 'The check needs a plan and at least one photo.',
  checkReady: 'Ready to run.',
  checkRunning: 'Running.',
  checkStale: 'The plan or the photos changed since the last check.',
  recordBlocked: 'There is nothing to sign off before the check.',
  recordReady: 'Print it, or save it with its photos.',
};
