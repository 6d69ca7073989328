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
    field: (label: string) => `change of ${label.charAt(0).toLowerCase()}${label.slice(1)}`,
    choice: 'another choice',
    addPlace: (name: string) => `add ${name}`,
    removePlace: (name: string) => `take out ${name}`,
    order: 'list from tip to butt',
    usePlaces: (count: number) => counted(count, 'one place filled in', '# places filled in'),
    shape: (id: string) => `shape of ${id}`,
  },

  plan: {
    blank: 'The blank',
    title: 'Name of the rod',
    units: 'Lengths in',
    length: 'Length, tip to butt',
    tipDiameter: 'Diameter at the tip',
    buttDiameter: 'Diameter at the butt',
    finish: 'Colour of the blank',
    finishes: { dark: 'dark', light: 'light' },
    material: 'Made of',
    materials: { carbon: 'carbon', glass: 'glass', other: 'cane, wood or other' },
    more: 'How exact, fittings, one section of a rod',
    along: 'Good enough along the rod, either way',
    roll: 'Good enough in roll, either way (degrees)',
    toleranceHelp: 'Usual among builders: 1.5 mm and 2 degrees.',
    markedBy: 'Your marks are read at',
    markedByNames: {
      centre: 'the middle of the band',
      'tip-edge': 'the edge toward the tip',
      'butt-edge': 'the edge toward the butt',
    },
    section: 'Only one section lies on the mat; it begins, from the rod’s tip, at',
    sectionHelp: 'Leave it empty for a whole rod.',
    fittings: 'What already sits on the blank',
    fittingsHelp:
      'Places of the ferrule, winding check, grip and reel seat, so that nothing is planned on top of them.',
    fittingNames: { ferrule: 'ferrule', 'winding-check': 'winding check', grip: 'grip', 'reel-seat': 'reel seat' },
    from: 'from',
    to: 'to',
    addFitting: 'Add',
    remove: (what: string) => `Take out ${what}`,

    places: 'Where each goes',
    placesHelp: 'Distances run from the tip end of the bare blank to the centre of the ring.',
    name: 'Name',
    at: 'From the tip',
    kind: 'What',
    nameOf: (id: string) => `Name of ${id}`,
    atOf: (id: string) => `${id} from the tip`,
    kindOf: (id: string) => `What ${id} is`,
    add: 'Add',
    addTitle: 'Next place',
    needsName: 'Give it a name.',
    sameName: (name: string) => `There are two called ${name}: give each its own name.`,
    inOrder: 'List them from tip to butt',
    typeAgain: 'The unit changed: type this again.',
    needsLength: 'Write a length, such as 136.5 or 5 3/8.',
    needsNumber: 'Write a number.',
    notLength: (why: string) => `${why.charAt(0).toUpperCase()}${why.slice(1)}.`,
    outside: (least: string, most: string) => `It should be ${least} to ${most}: check the number and its unit.`,

    ring: (outer: string, foot: string) => `Ring ${outer}, ${foot} foot`,
    feet: { single: 'single', double: 'double' },
    shape: 'Like',
    shapeChoose: 'choose a shape…',
    ringOuter: 'Ring across, outside',
    ringInner: 'Ring across, inside',
    height: 'Blank to ring’s centre',
    lean: 'Ring leans toward the butt (degrees)',
    foot: 'Foot',
    footLength: 'Length of a foot',
    reach: 'Ring’s centre to where the foot starts',
    footToward: 'Foot points to the',
    ends: { tip: 'tip', butt: 'butt' },
    boreTooWide: 'The inside can’t be wider than the outside: measure both again.',
    saveShape: 'Keep this shape as',
    save: 'Keep',
    kept: (name: string) => `“${name}” is kept and stands under “Like” in every build.`,
    shapes: 'Your guide shapes',
    shapesHelp:
      'Shapes measured with a rule or calliper, kept in this browser for every build. Open a guide in the list above to keep its shape here.',
    shapesNone: 'None kept yet.',
    shapesStart: 'To start from (made up, of middling proportions)',
    shapesSave: 'Save them as a file',
    shapesOpen: 'Open a file of shapes',
    shapesTitle: 'My guide shapes',

    otherWays: 'Other ways to fill the list',
    paste: 'Paste a list',
    pasteLabel: 'Your list, one distance a line',
    pasteHelp: 'A column of a spreadsheet, or lines such as “G3 11 7/16in” or “4) 291 mm”. Names are kept.',
    pasteRead: 'How each line was read',
    pasteLine: (line: number) => `Line ${line}`,
    pasteHeading: 'a heading, left aside',
    pastePosition: (name: string, kind: string, at: string) => `${name}, ${kind}, at ${at}`,
    pasteNote: (note: string) => `left aside: ${note}`,
    pasteProblems: (count: number) => counted(count, 'One line can’t be read yet.', '# lines can’t be read yet.', true),
    use: (count: number) => counted(count, 'Use this place', 'Use these # places'),
    useHelp: 'It takes the place of the guides in the list; undo brings them back.',

    growth: 'Gaps that grow',
    growthHelp: 'Give two of first gap, last position and growth; the third follows.',
    guides: 'Number of guides',
    growthKind: 'Each gap grows by',
    growthKinds: { arithmetic: 'the same length', geometric: 'the same factor' },
    start: 'Counted from (the tip when empty)',
    firstGap: 'First gap',
    last: 'Last guide at',
    step: 'Growth of each gap',
    ratio: 'Factor from gap to gap',
    rounding: 'Round to',
    roundingNone: 'not at all',
    growthSolved: (gap: string, growth: string) => `First gap ${gap}, ${growth}.`,
    growthBy: (length: string) => `each gap ${length} longer than the one before`,
    growthTimes: (factor: string) => `each gap ${factor} times the one before`,

    bend: 'From the bend of the loaded rod',
    bendHelp:
      'The blank is bent by the line in the computer, and the guides are set where the line turns by the same angle at each.',
    stiffness: 'How stiff it is',
    stiffnessKinds: { modulus: 'by its material', hang: 'by a hang test' },
    modulus: 'Modulus along the blank (GPa)',
    modulusHelp:
      'Of the order of 60 for carbon and 30 for glass; a hang test is far surer. Common practice, no source.',
    wall: 'Wall (solid when empty)',
    weight: 'Weight hung on the tip (grams)',
    hangHelp:
      'Hold the blank level, hang a known weight on its tip, and measure how far it drops at three or more places.',
    dropAt: 'at',
    drop: 'drops by',
    stations: 'Diameters between tip and butt, where you measured them',
    stationAt: 'at',
    stationDiameter: 'diameter',
    load: 'Pull on the line (grams)',
    pullAngle: 'Pull, down from straight ahead (degrees)',
    side: 'Guides sit',
    sides: { top: 'on top', underneath: 'underneath' },
    clampAt: 'Held in the hand at',
    reelAt: 'Line leaves the reel at',
    reelHeight: 'and its distance from the blank’s middle',
    first: 'First guide at (free when empty)',
    lastFree: 'Last guide at (free when empty)',
    shares: 'Shares of the turning, tip to butt (equal when empty)',
    sharesWrong: 'Write numbers with spaces between, such as 1 1 1.2 1.5.',
    work: 'Work it out',
    working: 'Working…',
    bendStale: 'Something was changed since: work it out again.',
    bendMissing: (what: string) => `Still needed: ${what}.`,
    bendDrawing: 'The bent rod',
    bendSays: (newtons: string, angle: string, down: string) =>
      `Pulled by ${newtons} newtons at ${angle} degrees the tip goes down ${down}.`,
    bendTurn: (degrees: string) => `line turns ${degrees}°`,
    bendKeeps: (length: string) => `keeps ${length} from the blank to the next`,
    tipTop: 'tip-top',
    hangFit: (exponent: string, doubt: string, worst: string) =>
      `The hang test fits: stiffness grows as diameter to the power ${exponent}, give or take ${doubt}; drops agree to ${worst}.`,

    cone: 'First guides for a spinning reel',
    coneHelp:
      'Loops of line leave the spool and narrow like a cone toward the first small guide. Shown is the place nearest the reel where each larger ring just takes them. Common practice, no source.',
    seatAt: 'Middle of the reel seat at',
    lipForward: 'Spool’s front edge before it, toward the tip',
    spool: 'Spool’s diameter',
    lipToBlank: 'Spool’s near edge above the blank',
    choke: 'The cone ends in',
    coneNone: 'No guide of the list stands between that guide and the reel.',
    coneSize: (id: string, at: string, height: string) =>
      `${id}: its bore takes the cone from ${at} toward the tip; the cone’s middle is ${height} above the blank there.`,
    coneHeight: (at: string) => `At its own height the whole cone passes from ${at}.`,
    coneNever: 'At its own height the cone passes nowhere whole.',
    coneSmall: (id: string) => `${id} is smaller than the guide the cone ends in.`,
    coneDrawing: 'Spool, cone and rings from the side',

    bag: 'Count the bag',
    bagHelp: 'How many of each size are there?',
    bagSize: (size: string, planned: number) => `Rings ${size} across (${planned} planned)`,
    bagOther: 'Any others',

    findings: 'What to look at',
    findingsNone: 'Nothing speaks against this plan.',
    findingsWait: 'The plan is looked over once the blank’s length and a place are there.',
    fault: 'Put right',
    look: 'Look at',

    marks: 'Mark list',
    marksFrom: 'Measured from the',
    datums: { tip: 'tip', butt: 'butt', ferrule: 'ferrule' },
    division: 'Your tape reads to',
    marksFromTip: 'Every distance is measured from the tip end of the bare blank.',
    marksFromButt: 'Every distance is measured from the butt end of the blank.',
    marksFromFerrule: 'Every distance is measured from the ferrule.',
    marksOff: (left: string, toward: string) => `true place ${left} more toward the ${toward}`,
    marksExact: 'to the line',
    marksRing: (size: string) => `ring ${size}`,
    marksFoot: (feet: string) => `foot ${feet}`,
    marksWrap: (wraps: string) => `wrap ${wraps}`,
    marksThread: (turns: string, metres: string) => `${turns} turns, ${metres} m of thread`,
    marksAll: (metres: string) => `Thread for all wraps: ${metres} m, feet not counted.`,
    toward: (end: 'tip' | 'butt') => `toward the ${end}`,
    marksPrint: 'Print the list',
    marksCsv: 'Save as CSV',
    planJson: 'Save as plan.json',
    wraps: 'How wraps are laid',
    threadSize: 'Thread’s diameter',
    beyondFoot: 'Wrap before the foot starts',
    keeperLength: 'Hook keeper takes up',
    care: 'Take care',
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
    todo: (id: string, signs: string[]) => `${id}: ${signs.join(', and ')}.`,
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
    planUnread: (count: number) => counted(count, 'One field can’t be read yet.', '# fields can’t be read yet.', true),
    planBlank: 'Say how long the blank is and how thick at each end.',
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
    notHere: 'The measuring part has not been fetched yet; it needs the network the first time. Nothing was lost.',
    checkFault: (message: string) =>
      `The check stopped on a fault of its own (${message}). Your photos and plan are safe. Run it again, or with fewer photos.`,
    unexpected: (message: string) => `That did not work (${message}). Nothing was lost.`,
  },
};
