import { shownName } from '../../plan/shown_name.ts';
import { shownList } from './spoken_list.ts';
/** A title of more characters is cut short in its copy's: with what is added it must be one that files take. */
export const longestCopied = 180;

/** What is said of a build taken from a file or saved as one. */
export const transferWords = {
  alreadyHere: (title: string) => `“${shownName(title)}” is already here, just as it is in the file.`,
  copyTitle: (title: string) => `${shownName(title, longestCopied)} (from a file)`,
  leftOut: (names: string[]) =>
    `The zip is saved without ${shownList(names)}: where ${names.length === 1 ? 'it was' : 'they were'} taken could not be removed from ${names.length === 1 ? 'it' : 'them'}. Save ${names.length === 1 ? 'it' : 'them'} as JPEG to take ${names.length === 1 ? 'it' : 'them'} along.`,
};
