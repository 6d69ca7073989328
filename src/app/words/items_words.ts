import { oneOfTwo, shownName } from '../../plan/shown_name.ts';
import { counted } from './counted.ts';

/** What is said of each place one by one. */
export const itemWords = {
  title: 'One by one',
  planned: 'Planned',
  found: 'Found',
  roll: 'Roll, seen from the butt',
  plannedRoll: 'Planned roll',
  tipTop: 'Tip-top',
  height: 'Ring height',
  plannedHeight: 'Planned height',
  ring: 'Ring size',
  width: 'Mark’s width',
  colour: 'Colour',
  mark: 'Its mark',
  byHand: 'Set',
  byHandYes: 'by your own hand',
  closeUp: (id: string, file: string) =>
    `${shownName(id, oneOfTwo)} in ${shownName(file, oneOfTwo)}, with the rims as they were fitted`,
  soughtUp: (id: string, file: string) =>
    `Where ${shownName(id, oneOfTwo)} belongs, in ${shownName(file, oneOfTwo)}: nothing was made out there`,
  noCloseUp: 'No photo shows its place.',
  photos: 'What each photo gave',
  photoSpoken: (file: string, tags: number, found: number) =>
    `${shownName(file)} with the ${tags} tags, the blank’s outline and the ${found} rings and marks read in it`,
  photo: (file: string, tags: number, residual: number) =>
    tags === 0
      ? `${shownName(file)}: no tags read.`
      : `${shownName(file)}: ${counted(tags, 'one tag', '# tags')} read, agreeing to ${residual.toFixed(2)} of a pixel.`,
};

/** What the views along and beside the rod say. */
export const viewWords = {
  sighting: 'Sighting from the butt',
  sightingHelp: (reference: 'seat-card' | 'spine-line' | 'guides', tolerance: number) =>
    `Straight up is ${
      { 'seat-card': 'the reel seat', 'spine-line': 'the spine line', guides: 'the rings’ own common line' }[reference]
    }. Between the thin lines a ring is within ${tolerance} degrees; one that is planned to be turned is drawn turned back by as much.`,
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
};
