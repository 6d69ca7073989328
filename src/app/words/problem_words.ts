import { oneOfTwo, shownName } from '../../plan/shown_name.ts';

/** What is said when something does not work. */
export const problemWords = {
  noPlan: 'No plan among these files. Choose a plan.json together with the photos.',
  twoPlans: (one: string, other: string) =>
    `There are two plans among these files, ${shownName(one, oneOfTwo)} and ${shownName(other, oneOfTwo)}. Choose one folder at a time.`,
  notRead: (file: string) => `${shownName(file)} could not be read. Copy it to this device and choose it again.`,
  photoNotThere: (file: string) =>
    `The shoot names ${shownName(file)}, which isn’t among these files. Choose it together with the rest.`,
  sample: 'The sample could not be fetched. It needs the network the first time.',
  photoLost: (file: string) =>
    `${shownName(file)} is no longer kept in this browser. Take it out of the photos and add it again.`,
  notHere: 'The measuring part has not been fetched yet; it needs the network the first time. Nothing was lost.',
  newerOnServer:
    'A newer version of Prewrap is on the server, and this page’s measuring part is no longer there: reload the page to go on. Everything is kept.',
  damagedChecks: (count: number) =>
    `${count === 1 ? 'One earlier check of this build is' : `${count} earlier checks of this build are`} kept but can’t be read, and ${count === 1 ? 'is' : 'are'} left aside. The rest is shown.`,
  checkFault: (message: string) =>
    `The check stopped on a fault of its own (${message}). Your photos and plan are safe. Run it again, or with fewer photos.`,
  screen: (message: string) =>
    `This step could not be shown (${message}). Everything entered so far is kept; load the page again.`,
  reload: 'Load again',
  unexpected: (message: string) => `That did not work (${message}). Nothing was lost.`,
};
