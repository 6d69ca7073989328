import { shownName } from '../../plan/shown_name.ts';
import { counted } from './counted.ts';

/** What is said of taped mats that are kept. */
export const keptMatWords = {
  title: 'Is the mat taped as you kept it?',
  first: 'Does the mat stay taped down?',
  says: 'A mat that stays taped down need not be worked out anew with every rod. Kept once from a good walk, its pages, their waves and its size are known: one photo then tells places better, and a page that moved since is named.',
  choice: 'The mat this rod lies on',
  anew: 'Work it out anew',
  pages: (pages: readonly number[], photos: number, when?: string) =>
    `${pages.length === 1 ? `Page ${pages[0]}` : `Pages ${pages[0]} to ${pages.at(-1)}`}, ${counted(photos, 'from one photo', 'from # photos')}${when === undefined ? '' : `, ${when}`}.`,
  make: 'Keep the mat as these photos show it',
  makeNeeds: 'Once this build has photos and its mat is measured, the mat can be kept here.',
  newName: (when: string) => `Mat of ${when}`,
  open: 'Open a mat file',
  stop: 'Stop',
  making: (stage: string, percent: number) => `${stage}, ${percent} %`,
  made: (name: string) => `Kept: ${shownName(name)}.`,
  manage: 'Name, save or throw away kept mats',
  nameOf: (name: string) => `Name of ${shownName(name)}`,
  save: 'Save as a file',
  remove: 'Throw away',
  removeAsk: (name: string) => `Throw away the kept mat “${shownName(name)}”?`,
  removeHelp: 'Builds that lie on it are then worked out anew. Checks already made stay as they are.',
  removeYes: 'Throw it away',
  removeNo: 'Keep it',
  here: (name: string) => `The mat “${shownName(name)}” is kept already.`,
  change: 'mat it lies on',
  fault: (why: string) => `The mat could not be kept (${why || 'no reason was given'}). Reload the page and try again.`,
};
