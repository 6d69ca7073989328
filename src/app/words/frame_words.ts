import { shownName } from '../../plan/shown_name.ts';
import { longestCopied } from './transfer_words.ts';
/** What stands round every step of a build. */
export const frameWords = {
  back: 'All builds',
  undo: (name?: string) => (name ? `Undo: ${shownName(name)}` : 'Undo'),
  redo: (name?: string) => (name ? `Redo: ${shownName(name)}` : 'Redo'),
  stepsLabel: 'Steps of this build',
  strip: ': the rod and the steps',
  next: (step: string) => `Next: ${step}`,
  missing: 'That build isn’t kept in this browser. It may have been thrown away, or made in another browser.',
  damaged: 'What is kept of that build is damaged and can’t be read. Save what is there from the list of builds.',
  thread: 'Thread colour',
  threadOwn: 'Your own',
  threadNames: {
    '#a3342b': 'Brick red',
    '#1f5f8b': 'Blue',
    '#2f6b3c': 'Green',
    '#b8860b': 'Old gold',
    '#5b3a8c': 'Purple',
    '#7a4a21': 'Brown',
    '#3c4043': 'Charcoal',
    '#c2557a': 'Rose',
  },
  lengths: 'Lengths in',
  lengthNames: { mm: 'millimetres', in: 'decimal inches', 'in-fraction': 'inches and fractions' },
  looks: 'Looks',
};

/** What the header says about keeping the build. */
export const saveWords = {
  saved: 'Saved',
  saving: 'Saving…',
  outOfSpace:
    'This browser has no more room, so the last changes are only in this tab. Export the build, throw away an old one, then try again.',
  failed: (message: string) => `The last changes could not be saved and are only in this tab (${message}).`,
  retry: 'Try saving again',
  elsewhere: 'This build was changed in another tab since it was opened here.',
  takeTheirs: 'Show the other tab’s version',
  keepCopy: 'Keep mine as a copy',
  gone: 'This build was thrown away in another tab.',
  keepMine: 'Keep it here',
  copyTitle: (title: string) => `${shownName(title, longestCopied)} (copy)`,
  noStore: (message: string) =>
    `This browser keeps nothing on this page (${message}). You can check a rod, but closing the tab loses it.`,
  onlyHere: 'Only in this tab',
  newerStore:
    'A newer version of Prewrap has kept builds in this browser, and this one can’t read them. Nothing was changed: reload the page to get the newer version. What you begin here is only in this tab.',
  olderTabHolds:
    'An older version of Prewrap is open in another tab and holds your builds. Close it and reload this one. What you begin here is only in this tab.',
  silentStore:
    'This browser’s store does not answer, so your builds can’t be shown. Close other tabs of Prewrap, or start the browser again, and reload. What you begin here is only in this tab.',
  notListed: (message: string) => `The list of builds could not be read (${message}). Reload the page to try again.`,
  olderTab: 'A newer version of Prewrap is open in another tab. Reload this one to go on.',
  persistent: 'Kept on this device until you throw it away.',
  notPersistent: 'Kept on this device, but the browser may clear it when it runs short. Export what matters.',
  used: (size: string) => `${size} used.`,
  askPersist: 'Ask the browser to keep it',
  locally: 'Nothing leaves this device.',
};

/** What is said when a newer version is there. */
export const updateWords = {
  ready: 'A newer version of Prewrap is here.',
  now: 'Reload to use it',
  afterCheck: 'It can be loaded when the check is done.',
  loading: 'Loading it…',
  held: 'It is not in use yet. Close every tab with Prewrap and open it again, or try once more.',
  taken: 'Prewrap was updated in another tab, and this page is still the older one. Everything is kept.',
  reload: 'Reload to go on',
};
