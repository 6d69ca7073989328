import { shownName } from '../../plan/shown_name.ts';
import { counted } from './counted.ts';

/** What is said of the lenses of the builder's cameras. */
export const lensWords = {
  title: 'Your cameras',
  says: 'A check works the lens out anew each time. Once it is known, one photo tells places better, and a walk a little. Tape two pages of the mat down flat, without a rod, and take a dozen photos from arm’s length: some with the squares in the corners of the picture, four or more with the camera tilted, each another way. Nothing needs to be measured.',
  none: 'No camera’s lens is kept yet.',
  make: 'Make a lens from photos',
  open: 'Open a lens file',
  stop: 'Stop',
  making: (stage: string, percent: number) => `${stage}, ${percent} %`,
  made: (name: string) => `Kept: ${shownName(name)}. Checks of its photos use it from now on.`,
  from: (photos: number, corner: string, when?: string) =>
    `${counted(photos, 'From one photo', 'From # photos')}${when === undefined ? '' : `, ${when}`}; corners read to ${corner} px.`,
  name: 'Name',
  nameOf: (name: string) => `Name of ${shownName(name)}`,
  save: 'Save as a file',
  remove: 'Throw away',
  removeAsk: (name: string) => `Throw away the lens of “${shownName(name)}”?`,
  removeHelp: 'Checks then work it out anew each time. Checks already made stay as they are.',
  removeYes: 'Throw it away',
  removeNo: 'Keep it',
  replaced: (name: string) =>
    `The lens that was kept for this camera (${shownName(name)}) was saved as a file, and this one took its place.`,
  fault: (why: string) =>
    `The lens could not be made (${why || 'no reason was given'}). Reload the page and try again.`,
};
