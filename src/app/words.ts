import { matWords } from './mat_words.ts';
import { photoWords } from './photo_words.ts';
import type { Step } from './place.ts';

/** `many` with its # as a word up to nine. */
function counted(count: number, one: string, many: string, capital = false): string {
  if (count === 1) return one;
  const word = numbers[count] ?? String(count);
  return many.replace('#', capital ? word[0]!.toUpperCase() + word.slice(1) : word);
}
const numbers = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'];

/** Every sentence and label the app says; nothing that is shown stands anywhere else. */
export const words = {
  name: 'Prewrap',
  motto: 'Check the rod before the thread goes on.',
  steps: { plan: 'Plan', mat: 'Mat', photos: 'Photos', check: 'Check', record: 'Record' } satisfies Record<
    Step,
    string
  >,
  skip: 'Skip to the page',
  loading: 'Opening…',
  close: 'Close',

  builds: {
    title: 'Your builds',
    empty: 'No builds yet',
    emptyHelp:
      'A build is one rod: its plan, the photos of it on the mat, and what they say. Start with your own, or look at the sample first.',
    create: 'New build',
    sample: 'Open the sample',
    sampleHelp: 'A finished shoot of an eight-guide rod, ready to check. Throw it away when you have seen enough.',
    sampleLoading: (done: number, all: number) => `Fetching the sample, ${done} of ${all}…`,
    open: 'Open plan and photos',
    openHelp: 'A plan.json, a shoot.json and the photos, chosen together or dropped here as a folder.',
    drop: 'Drop the plan and the photos here',
    remove: 'Throw away',
    removeAsk: (title: string) => `Throw away “${title}”, with its photos and checks?`,
    removeHelp: 'This can’t be taken back. Export it from its record first if you may want it again.',
    removeYes: 'Throw it away',
    removeNo: 'Keep it',
    untitled: 'Rod without a name',
    sampleTag: 'sample',
    newTitle: 'New rod',
    changed: (when: string) => `changed ${when}`,
    verdict: { ready: 'Ready to wrap', fix: 'Something to move', reshoot: 'Needs another photo' },
    unchecked: 'Not checked yet',
  },

  frame: {
    back: 'All builds',
    undo: (name?: string) => (name ? `Undo: ${name}` : 'Undo'),
    redo: (name?: string) => (name ? `Redo: ${name}` : 'Redo'),
    stepsLabel: 'Steps of this build',
    next: (step: string) => `Next: ${step}`,
    missing: 'That build isn’t kept in this browser. It may have been thrown away, or made in another browser.',
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
  },

  changes: {
    addPhotos: (count: number) => counted(count, 'add a photo', 'add # photos'),
    removePhoto: (name: string) => `take out ${name}`,
    thread: 'thread colour',
    lengths: 'unit shown',
    newRound: 'start another round of photos',
  },

  check: {
    starting: 'Starting…',
    stopped: 'Stopped.',
    run: 'Check the rod',
    runAgain: 'Check again',
    newRound: 'Moved something? Take new photos',
    morePhotos: 'Take the photos',
    toRecord: 'Sign it off',
    cancel: 'Stop',
    running: 'Checking',
    progress: 'Progress of the check',
    fetchingMeasure: 'Fetching the measuring part (once)',
    interrupted: 'The page closed in the middle of a check. The plan and the photos are all here; run it again.',
    stale: 'The plan, the mat or the photos changed since this check.',
    stoppedHelp: 'The check was stopped. Nothing was lost.',
  },

  mat: matWords,
  photos: photoWords,

  kinds: { guide: 'guide', 'tip-wrap': 'tip wrap', 'ferrule-wrap': 'ferrule wrap', 'hook-keeper': 'hook keeper' },

  signs: {
    'in-place': 'in place',
    unsure: 'not settled',
    different: 'another guide sits here',
    missing: 'missing',
    'not-seen': 'in no photo',
    extra: 'not in the plan',
    slide: (length: string, towardButt: boolean) => `slide ${length} toward the ${towardButt ? 'butt' : 'tip'}`,
    turn: (degrees: string, clockwise: boolean) =>
      `turn ${degrees} ${clockwise ? 'clockwise' : 'counter-clockwise'}, seen from the butt`,
  },

  ribbon: {
    label: 'The rod, tip at the left',
    keys: 'Places on the rod. Left and right go from one to the next, plus and minus zoom, zero shows the whole rod.',
    empty: 'The rod is drawn here as soon as the plan has places on it.',
    drawn: 'Drawn from the plan',
    measured: 'Arrows are drawn larger than life',
    closer: 'Closer',
    farther: 'Farther',
    whole: 'Whole rod',
    item: (id: string, kind: string, at: string, signs?: string[]) =>
      `${id}, ${kind}, planned at ${at}${signs ? `: ${signs.join(', ')}` : ''}`,
  },

  answers: {
    label: 'Is it ready',
    stale: 'An earlier answer, for another plan or other photos:',
    whatMoves: 'What must move',
    whatSettles: 'What would settle the rest',
    lookAt: (id: string) => `Look at ${id}.`,
  },

  sure: {
    title: 'How sure it is',
    along: (doubt: string, id: string) =>
      `Along the rod each place is known to ${doubt} or better (${id} is the least sure).`,
    roll: (degrees: string) => `Roll is known to ${degrees} degrees or better.`,
    scale: (doubt: string, rod: string) => `The mat’s own ruler can be out by ${doubt} over the rod’s ${rod}.`,
    noScale: 'The mat’s bars and the span weren’t measured, so its scale is not known and nothing is passed.',
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
  },

  items: {
    title: 'One by one',
    planned: 'Planned',
    found: 'Found',
    roll: 'Roll, seen from the butt',
    height: 'Ring height',
    plannedHeight: 'Planned height',
    ring: 'Ring size',
    width: 'Mark’s width',
    colour: 'Colour',
    mark: 'Its mark',
    byHand: 'Set',
    byHandYes: 'by your own hand',
    closeUp: (id: string, file: string) => `${id} in ${file}, with the rims as they were fitted`,
    noCloseUp: 'No photo shows it.',
    photos: 'What each photo gave',
    photoSpoken: (file: string, tags: number, found: number) =>
      `${file} with the ${tags} tags, the blank’s outline and the ${found} rings and marks read in it`,
    photo: (file: string, tags: number, residual: number) =>
      tags === 0
        ? `${file}: no tags read.`
        : `${file}: ${counted(tags, 'one tag', '# tags')} read, agreeing to ${residual.toFixed(2)} of a pixel.`,
  },

  views: {
    sighting: 'Sighting from the butt',
    sightingHelp: (reference: 'seat-card' | 'spine-line' | 'guides', tolerance: number) =>
      `Straight up is ${
        { 'seat-card': 'the reel seat', 'spine-line': 'the spine line', guides: 'the rings’ own common line' }[
          reference
        ]
      }. Between the thin lines a ring is within ${tolerance} degrees.`,
    sightingSpoken: (rings: string[]) => `The rings as seen along the rod from the butt. ${rings.join('. ')}.`,
    rolled: (degrees: number) => `${Math.abs(degrees).toFixed(1)}° ${degrees > 0 ? '↻' : '↺'}`,
    noRoll: 'roll not known',
    top: 'From above',
    topHelp: (times: number, tolerance: number) =>
      `How far each ring’s centre stands to the side. Sideways is drawn ${times} times larger; the brackets are ${tolerance} degrees.`,
    side: 'From the side',
    sideHelp: (times: number) =>
      `How high each ring’s centre stands; the open circles are the plan. Height is drawn ${times} times larger.`,
    tip: 'tip',
    butt: 'butt',
  },

  comparison: {
    title: 'Against the check before',
    place: 'Place',
    before: 'Before',
    after: 'Now',
    moved: 'Moved',
    by: (length: string, towardButt: boolean) => `${length} toward the ${towardButt ? 'butt' : 'tip'}`,
    same: 'stayed',
    notAsked: 'not in that check',
  },

  historyOfChecks: { title: 'Checks of this build' },

  needs: {
    planEmpty: 'Say where each guide goes, measured from the tip.',
    planDone: (guides: number) => counted(guides, 'One guide planned.', '# guides planned.', true),
    matPlain: 'Print the mat and measure its two bars and the span.',
    matBars: 'Bars are measured. The tape over the whole mat (the span) makes lengths surer.',
    matDone: 'Printed, laid and measured.',
    photosEmpty: 'Take four to eight photos along the rod, some from the side.',
    photosOne: 'One photo is a quick look. Take four to eight to sign the rod off.',
    photosFew: (count: number) => counted(count, 'One photo.', '# photos. Four or more make it sure.', true),
    photosDone: (count: number) => counted(count, 'One photo.', '# photos.', true),
    checkBlocked: 'The check needs a plan and at least one photo.',
    checkReady: 'Ready to run.',
    checkRunning: 'Running.',
    checkStale: 'The plan or the photos changed since the last check.',
    recordBlocked: 'There is nothing to sign off before the check.',
    recordReady: 'Print it, or save it with its photos.',
  },

  save: {
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
    copyTitle: (title: string) => `${title} (copy)`,
    noStore: (message: string) =>
      `This browser keeps nothing on this page (${message}). You can check a rod, but closing the tab loses it.`,
    olderTab: 'A newer version of Prewrap is open in another tab. Reload this one to go on.',
    persistent: 'Kept on this device until you throw it away.',
    notPersistent: 'Kept on this device, but the browser may clear it when it runs short. Export what matters.',
    used: (size: string) => `${size} used.`,
    askPersist: 'Ask the browser to keep it',
    locally: 'Nothing leaves this device.',
  },

  update: {
    ready: 'A newer version of Prewrap is here.',
    now: 'Reload to use it',
    afterCheck: 'It can be loaded when the check is done.',
  },

  transfer: {
    alreadyHere: (title: string) => `“${title}” is already here, just as it is in the file.`,
    copyTitle: (title: string) => `${title} (from a file)`,
    leftOut: (names: string[]) =>
      `The zip is saved without ${names.join(', ')}: where ${names.length === 1 ? 'it was' : 'they were'} taken could not be removed from ${names.length === 1 ? 'it' : 'them'}. Save ${names.length === 1 ? 'it' : 'them'} as JPEG to take ${names.length === 1 ? 'it' : 'them'} along.`,
  },

  problems: {
    noPlan: 'No plan among these files. Choose a plan.json together with the photos.',
    twoPlans: (one: string, other: string) =>
      `There are two plans among these files, ${one} and ${other}. Choose one folder at a time.`,
    notRead: (file: string) => `${file} could not be read. Copy it to this device and choose it again.`,
    photoNotThere: (file: string) =>
      `The shoot names ${file}, which isn’t among these files. Choose it together with the rest.`,
    sample: 'The sample could not be fetched. It needs the network the first time.',
    photoLost: (file: string) =>
      `${file} is no longer kept in this browser. Take it out of the photos and add it again.`,
    checkFault: (message: string) =>
      `The check stopped on a fault of its own (${message}). Your photos and plan are safe. Run it again, or with fewer photos.`,
    unexpected: (message: string) => `That did not work (${message}). Nothing was lost.`,
  },
};
