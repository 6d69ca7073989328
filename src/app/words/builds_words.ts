import { shownName } from '../../plan/shown_name.ts';
import { counted } from './counted.ts';

/** What the list of builds says. */
export const buildsWords = {
  title: 'Your builds',
  empty: 'No builds yet',
  emptyHelp:
    'A build is one rod: its plan, the photos of it on the mat, and what they say. Start with your own, or look at the sample first.',
  create: 'New build',
  sample: 'Open the sample',
  sampleHelp: 'A finished shoot of a seven-guide rod, ready to check. Throw it away when you have seen enough.',
  sampleLoading: (done: number, all: number) => `Fetching the sample, ${done} of ${all}…`,
  open: 'Open plan and photos',
  openHelp:
    'A build’s zip; or a plan.json, a shoot.json and the photos, chosen together. They can be dropped here as well, also as a folder.',
  drop: 'Drop the plan and the photos here',
  remove: 'Throw away',
  removeAsk: (title: string) => `Throw away “${shownName(title)}”, with its photos and checks?`,
  removeHelp: 'This can’t be taken back. Export it from its record first if you may want it again.',
  removeYes: 'Throw it away',
  removeNo: 'Keep it',
  order: 'In order of',
  orders: { changed: 'last change', due: 'what is due' },
  due: { move: 'To move', check: 'To check', mark: 'To mark', plan: 'To plan', ready: 'Ready' },
  damagedGroup: 'Can’t be read',
  choose: 'Choose several',
  chooseDone: 'Done choosing',
  chooseAll: 'Choose all',
  chooseOne: (title: string) => `Choose ${shownName(title)}`,
  saveChosen: (count: number) => counted(count, 'Save the chosen build', 'Save the # chosen builds'),
  savingChosen: (done: number, all: number) => `Saving ${done} of ${all}…`,
  chooseHelp: 'Each becomes a zip of its own. The browser may ask whether this page may save several files.',
  untitled: 'Rod without a name',
  sampleTag: 'sample',
  newTitle: 'New rod',
  changed: (when: string) => `changed ${when}`,
  verdict: { ready: 'Ready to wrap', fix: 'Something to move', reshoot: 'Needs another photo' },
  unchecked: 'Not checked yet',
  damagedTitle: 'A build that can’t be read',
  damaged: 'What is kept of it is damaged. Its photos and whatever else is there can be saved as a zip.',
  salvage: 'Save what is there',
};

/** What the builder’s rods have in common. */
export const habitsWords = {
  title: 'What your rods have in common',
  along: (kind: 'marks' | 'rings', where: string, rods: number, doubt: string) =>
    `Your ${kind} sit ${where} on average over ${rods} rods, give or take ${doubt}.`,
  roll: (turn: string, rods: number, doubt: string) =>
    `Your rings are rolled ${turn}, seen from the butt, on average over ${rods} rods, give or take ${doubt}.`,
};
