import { listText } from '../../verdict/wording.ts';
import { counted } from './counted.ts';

/** What the record says. */
export const recordWords = {
  sheet: 'Record of the rod',
  print: 'Print, or save as PDF',
  page: 'Save as one file',
  pageHelp:
    'The one file holds the record with its pictures. It opens on any phone or computer without Prewrap, and prints on one page.',
  csv: 'Save the table as CSV',
  zip: 'Save the whole build',
  zipping: 'Packing…',
  zipHelp:
    'One zip with the plan, the photos and every check. It opens again here or in another browser, beside what is there. Where the photos were taken is removed from them.',
  which: 'Record of',
  tipTop: 'Tip-top',
  datum: 'Distances from',
  stage: { blank: 'blank', marks: 'marks', rings: 'guides', wrapped: 'wrapped' },
  ofStage: {
    blank: 'Check of the bare blank',
    marks: 'Check of the marks',
    rings: 'Check of the guides',
    wrapped: 'Check of the wrapped guides',
  },
  checked: 'Checked',
  begun: 'Build begun',
  blank: 'Blank',
  blankFacts: (length: string, tip: string, butt: string, finish: string) =>
    `${length} long, ${tip} at the tip, ${butt} at the butt, ${finish}`,
  goodEnough: 'Good enough',
  goodEnoughFacts: (along: string, roll: string) => `within ${along} along the rod and ${roll} of roll`,
  rollFrom: 'Roll from',
  references: { 'seat-card': 'the reel seat', 'spine-line': 'the spine line', guides: 'the rings’ own common line' },
  photos: 'Photos',
  photosOf: (count: number) => counted(count, 'one, measured by itself', '# measured together'),
  thread: 'Thread',
  threadOwn: 'own colour',
  table: 'Place by place',
  columns: {
    place: 'Place',
    planned: 'Planned',
    found: 'Found',
    off: 'Off by',
    roll: 'Roll',
    ring: 'Ring',
    verdict: 'Verdict',
  },
  towards: (length: string, butt: boolean) => `${length} to ${butt ? 'butt' : 'tip'}`,
  meaning: '± is the doubt: about 95 in 100 lie within it. Roll is as seen from the butt, ↻ clockwise.',
  meaningBlank:
    '± is the doubt: about 95 in 100 lie within it. To the right is as seen from the butt, up as it lies; both from the straight line between the first place and the last. The table as CSV has every 25 mm.',
  turn: 'Turned since the first shoot',
  axisOf: (turns: string[]) => `Its straightest axis, from the shoots at ${listText(turns)}:`,
  pictures: 'Pictures',
  straightened: 'The rod, straightened out of the photos, tip at the left',
  by: 'Checked by (printed under the line)',
  signed: 'Signature',
  date: 'Date',
  stale: 'The plan, the mat or the photos changed since this check, so there is nothing to sign.',
  notReady: 'Nothing to sign yet: not everything is in place.',
  notMeasured: 'Nothing to sign yet: the blank is not measured well enough.',
  made: 'Measured and written by Prewrap.',
};
