import { oneOfTwo, shownName } from '../../plan/shown_name.ts';
import { shownList, spokenList } from './spoken_list.ts';

const tiles = (from: number, to: number): string => (from === to ? `tile ${from}` : `tiles ${from} to ${to}`);

/** A tile of the mat, by the guides that lie over it where these are known. */
const placeOver = (tile: number, guides: readonly string[]): string =>
  guides.length > 0 ? `${shownList(guides)} (tile ${tile})` : `tile ${tile}`;

/** What the photos step and the camera view say. */
export const photoWords = {
  take: 'Take a photo',
  choose: 'Choose photos',
  guide: 'Guide me with the camera',
  drop: 'Drop the photos here',
  walkDrawing: 'Phones above the rod one after the other, and one held to its side',
  walk: 'From about 60 cm (2 ft) above, each photo takes in half of what the last one did, and both rows of tags.',
  ways: 'Photos may also be dropped or pasted here, and a video of a slow walk along the rod. They stay on this device.',
  remove: 'Take out',
  removeNamed: (name: string) => `Take out ${shownName(name)}`,
  removed: (name: string) => `Took out ${shownName(name)}.`,
  undoRemove: 'Put it back',
  list: 'Photos of this shoot',
  picture: (name: string) => `${shownName(name)}, small`,

  looking: 'Looking at it…',
  waiting: 'Waits to be looked at',
  fetching: (percent: number) => `Fetching the tag reader (once), ${percent} %…`,
  good: 'Good',
  doubtful: 'Will do, could be better',
  unusable: 'Won’t do',
  notLooked: (why: string) => `This photo could not be looked at here (${why}). The check will try it again.`,
  noPicture: 'This browser can’t read photos beside the page. Update it, or use another one.',
  sharp: 'sharp',
  tags: (count: number) => (count === 1 ? 'one tag' : `${count} tags`),
  covers: (from: number, to: number) => tiles(from, to),
  fromAbove: 'from above',
  tilted: (degrees: number) => `tilted ${degrees}°`,
  noTags: 'No tag of the mat was read: the mat must be in the photo, in focus, and not covered.',
  mirrored: 'The photo is mirrored, so its tags can’t be read: take it with the rear camera, or switch mirroring off.',
  otherTags: 'The tags in it are not this mat’s: print the mat from the mat step.',
  oneRow: 'Only one row of tags is in it, so no stretch of the rod counts: take in both rows.',
  tagTwice: (tile: number) => `A tag of tile ${tile} shows twice: two pages are the same tile. Print each tile once.`,
  sameAs: (name: string) =>
    `The same photo as ${shownName(name)}, and counting it twice would feign certainty: take one out.`,

  tooMany: (most: number) =>
    `A shoot holds ${most} photos at most; four to eight are plenty. Take some out, or start another round.`,

  alreadyHere: (file: string, name: string) =>
    file === name
      ? `${shownName(file)} is here already.`
      : `${shownName(file, oneOfTwo)} is the same photo as ${shownName(name, oneOfTwo)}, which is here already.`,

  fewPixels: (side: number, own: number, doubt: string) =>
    `Pictures from here are ${side} pixels long, a phone’s own photos ${own}: expect ${doubt} the doubt in roll of small rings.`,
  doubts: {
    'half-again': 'about one and a half times',
    twice: 'about twice',
    three: 'about three times',
    more: 'more than three times',
  },

  coverage: 'What the photos cover',
  twice: (parts: string[]) => `Covered twice: ${spokenList(parts)}.`,
  once: (parts: string[]) => `Once: ${spokenList(parts)}.`,
  never: (parts: string[]) => `Not yet: ${spokenList(parts)}.`,
  stillLooking: 'Still looking at the photos.',
  allTwice: 'The mat is covered twice; its outer ends need it once.',
  tileRange: tiles,
  coverageKey: 'Filled: in two photos or more. Hatched: in one.',

  next: {
    title: 'Next',
    stretch: (from: number, to: number) =>
      `Next, from about 60 cm (2 ft) above ${tiles(from, to)}, both rows of tags in it.`,
    again: (from: number, to: number) => `Next, ${tiles(from, to)} once more, from a little farther along.`,
    againTilted: (from: number, to: number) =>
      `Next, ${tiles(from, to)} once more, with the phone held to one side so that it looks at the rod at a slant.`,
    wanted: (what: string) => `Next, the one that settles most: ${what}.`,
    tilt: 'Next, one tilted: hold the phone to one side so that it looks at the rod at a slant, both rows of tags in it.',
    more: (count: number) =>
      count === 1
        ? 'One more from anywhere makes four; four make it sure.'
        : `${count} more make four; four make it sure.`,
    enough: 'That is enough. More photos do no harm.',
  },

  video: {
    title: 'Frames out of a video',
    unreadable: (name: string) =>
      `${shownName(name)} can’t be read as a video here: save it as MP4 (H.264) and add it again, or take photos.`,
    looking: (names: string[]) => `Looking through ${shownList(names)}…`,
    progress: 'Share of the video that was looked through',
    stop: 'Stop',
    none: 'No frame shows both rows of tags sharply enough: hold the phone about 60 cm (2 ft) above the mat, move slowly, and stop now and then.',
    nothingNew: 'No frame shows anything that the photos do not show already.',
    chosen: (count: number) => (count === 1 ? 'One frame is chosen.' : `${count} frames are chosen.`),
    list: 'Frames that are chosen',
    frame: (time: string) => `Frame at ${time}`,
    out: 'Take out',
    back: 'Put back',
    earlier: 'Earlier',
    later: 'Later',
    named: (what: string, time: string) => `${what}: frame at ${time}`,
    wasOut: 'Taken out',
    use: (count: number) => (count === 1 ? 'Use this one' : `Use these ${count}`),
    using: 'Taking them out of the video…',
    cancel: 'Use none',
  },

  camera: {
    title: 'Camera',
    opening: 'Opening the camera…',
    close: 'Done',
    take: 'Take this one',
    taking: 'Taking it, hold still…',
    automatic: 'Takes photos by itself',
    sound: 'Sound',
    holdStill: 'Hold still: it takes this one by itself.',
    elsewhere: 'One more, from any other place along the rod.',
    justTaken: (count: number) => `Photo ${count} taken.`,
    notKept: (why: string) => `That one is not kept, and it will be taken again. ${why}`,
    movedOn: 'The phone moved while it was taken, and it shows what another one shows.',
    complete: (count: number) => `The walk is complete, with ${count} photos. Now the check.`,
    completeOnly: (count: number, needs: string) =>
      `The walk is complete, with ${count} photos. Before the check: ${needs}`,
    useApp: 'Use the camera app',
    stills: 'This browser hands out no full-size photos: pictures are taken out of the video.',
    stillFailed: 'The camera gave no photo. Try again, or use the camera app.',
    refused: 'The camera is not allowed on this page, and that is fine: take the photos with the camera app.',
    none: 'No camera was found here. Take the photos with a phone and choose or drop them here.',
    busy: 'Another program holds the camera. Close it and try again, or use the camera app.',
    failed: (why: string) => `The camera could not be opened (${why}). Take the photos with the camera app.`,
    ended: 'The camera stopped. Close this view and open it again.',
    needsHttps: 'The guided view needs https; taking and choosing photos works without.',
    readerFailed: 'The tags can’t be followed here, but photos can be taken all the same.',
    fetching: (percent: number) => `Fetching the tag reader (once), ${percent} %…`,
    live: 'What the camera sees',
    sees: (from: number, to: number, up: string, tilt: string) => `Sees ${tiles(from, to)}, ${up} up, ${tilt}.`,
    starting: 'Looking for the mat…',
    noTags: 'Point the camera at the mat.',
    dark: 'Too dark: turn on a lamp.',
    glare: 'Too bright: move the lamp aside or tap on the paper.',
    blurred: 'Blurred: hold still, tap on the rod to focus.',
    tooClose: 'Too close: raise the phone until both rows of tags show.',
    tooFar: 'Too far: come down to about 60 cm (2 ft).',
    oneRow: 'Move until both rows of tags show.',
    slanted: 'Too slanted: come back toward straight above.',
    moveTo: (tile: number, guides: string[] = []) => `Move along to ${placeOver(tile, guides)}.`,
    moveOn: (tile: number, guides: string[] = []) => `Move a little farther, toward ${placeOver(tile, guides)}.`,
    moveTilted: (tile: number, guides: string[] = []) =>
      `On to ${placeOver(tile, guides)}, and hold the phone to one side, looking at a slant.`,
    soFar: (names: string[]) => `Made out so far: ${shownList(names)}.`,
    lower: (height: string) => `Come down to about ${height}.`,
    higher: (height: string) => `Go up to about ${height}.`,
    straight: 'Move until the phone is straight above it, looking straight down.',
    slant: 'Now to one side: look at the rod at a slant.',
    lookBack: (over: number, at: number) => `Move along to tile ${over}, and look back at tile ${at}.`,
    tiltHere: 'Here, hold the phone to one side: look at the rod at a slant.',
    tiltMore: 'Covered twice. Now tilt: hold the phone to one side, looking at a slant.',
    takeThis: 'Hold still and take this one.',
    enough: 'That is enough. Take more, or press Done.',
    taken: (count: number) => (count === 1 ? 'One photo' : `${count} photos`),
  },
};
