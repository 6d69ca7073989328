import { oneOfTwo, shownName } from '../../plan/shown_name.ts';
const photos = (count: number): string => (count === 1 ? '1 photo' : `${count} photos`);
const points = (count: number): string => (count === 1 ? '1 point' : `${count} points`);
const pixels = (value: number): string => value.toFixed(2).replace(/\.?0+$/, '');

/** What pointing out a ring or a mark by hand says. */
export const handWords = {
  open: 'Point it out yourself',
  openHelp: 'If the check has it wrong or can’t settle it, show in the photos where it is.',
  change: 'Change your points',
  changeOf: (id: string) => `Change your points of ${shownName(id)}`,
  takeBack: 'Take your points back',
  waiting: (count: number, inPhotos: number) =>
    `Pointed out by you: ${points(count)} in ${photos(inPhotos)}. Check again to measure with ${count === 1 ? 'it' : 'them'}.`,
  takenBack: 'Your points are taken back. Check again to leave it to the photos.',
  measured: 'Set by your own hand, so its doubt is larger.',
  checkAgain: 'Check again',
  changes: {
    point: (id: string) => `point out ${shownName(id)}`,
    takeBack: (id: string) => `take back the points of ${shownName(id)}`,
  },
  picture: (id: string, file: string) =>
    `${shownName(id, oneOfTwo)} in ${shownName(file, oneOfTwo)}, with the points you set`,

  title: (id: string) => `Point out ${shownName(id)}`,
  says: {
    ring: 'Point at the outer edge of the ring: three places or more, spread all round it.',
    centre: 'Point at the middle of the mark, halfway along its width.',
    'tip-edge': 'Point at the edge of the mark that is toward the tip.',
    'butt-edge': 'Point at the edge of the mark that is toward the butt.',
  },
  drawing: {
    ring: 'A ring from the side, with five points round its outer edge',
    centre: 'A mark on the blank, with a point on its middle',
    'tip-edge': 'A mark on the blank, with a point on its edge toward the tip',
    'butt-edge': 'A mark on the blank, with a point on its edge toward the butt',
  },
  keys: 'Tap to set a point, drag a point to move it. By keyboard: arrows move the photo, plus and minus zoom, zero shows the place, Enter sets a point in the middle. On a point: arrows move it by a quarter of a pixel, with Shift by two; Delete takes it out.',
  surface: (file: string) => `${shownName(file)}, to point in`,
  photo: 'Photo',
  photoChoice: (file: string, seen: boolean, count: number) =>
    [shownName(file), seen ? undefined : 'elsewhere on the rod', count > 0 ? points(count) : undefined]
      .filter((part) => part !== undefined)
      .join(' · '),
  noPhoto: 'This browser can’t show this photo. Choose another one.',
  point: (number: number, count: number, [x, y]: readonly [number, number]) =>
    `Point ${number} of ${count}: ${pixels(x)} across, ${pixels(y)} down`,
  set: (number: number) => `Point ${number} set.`,
  moved: (number: number, [x, y]: readonly [number, number]) =>
    `Point ${number}: ${pixels(x)} across, ${pixels(y)} down.`,
  removed: (count: number) => `Taken out. ${count === 0 ? 'No points left here.' : `${points(count)} here.`}`,
  closer: 'Closer',
  farther: 'Farther',
  place: 'Back to the place',
  nudge: { left: 'Move the point left', up: 'Move it up', down: 'Move it down', right: 'Move it right' },
  remove: 'Take the point out',
  more: (count: number) => `${count === 1 ? 'One more point' : `${count} more points`} at least.`,
  some: (count: number, inPhotos: number) =>
    `${points(count)} in ${photos(inPhotos)}.${inPhotos === 1 ? ' A second photo makes it surer.' : ''}`,
  save: 'Save',
  close: 'Close',
  unsaved: 'Your points aren’t saved yet. Close again to drop them.',
};
