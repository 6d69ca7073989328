import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import { turnedBy } from '../../verdict/relative_rolls.ts';
import type { ReportItem } from '../../verdict/report.ts';
import { sightingOf } from '../../verdict/sighting.ts';
import { amountText, degreesText } from '../../verdict/wording.ts';
import { signWords } from '../words/sign_words.ts';

/** What an item's sign says by its shape. */
export type ItemSign =
  /** in place: a plain dot */
  | { kind: 'in-place' }
  /** an arrow along the rod; mm to slide, positive toward the butt */
  | { kind: 'slide'; mm: number }
  /** a turning arrow; degrees to turn, positive clockwise as seen from the butt */
  | { kind: 'turn'; degrees: number }
  /** turned as all rings of its piece: the joint is to be turned */
  | { kind: 'with-piece' }
  /** not settled: a ring with a gap */
  | { kind: 'unsure' }
  /** another guide than planned sits there: two crossing arrows */
  | { kind: 'different' }
  /** no guide or mark there, none made out there, or none of the photos shows the place: a dotted outline */
  | { kind: 'missing' }
  | { kind: 'not-made-out' }
  | { kind: 'not-seen' }
  /** set with its foot toward the wrong end: an arrow that turns back */
  | { kind: 'wrong-way' }
  /** not in the plan: a cross */
  | { kind: 'extra' };

const lostSigns = { 'not-there': 'missing', 'not-made-out': 'not-made-out', 'in-no-photo': 'not-seen' } as const;

/** An item's signs, the most pressing first; never empty. */
export function signsOf(item: ReportItem): ItemSign[] {
  const sighting = sightingOf(item);
  if (sighting !== 'found') return [{ kind: lostSigns[sighting] }];
  const signs: ItemSign[] = [];
  if (item.guideVerdict === 'different') signs.push({ kind: 'different' });
  if (item.setWrongWay) signs.push({ kind: 'wrong-way' });
  if (item.alongVerdict === 'off' && item.along) signs.push({ kind: 'slide', mm: item.planned - item.along.value });
  const turned = turnedBy(item);
  if (item.turnedByJoint !== undefined) signs.push({ kind: 'with-piece' });
  else if (item.rollVerdict === 'off' && turned) signs.push({ kind: 'turn', degrees: -turned.value });
  if (signs.length === 0 && [item.alongVerdict, item.rollVerdict, item.guideVerdict].includes('unsure'))
    signs.push({ kind: 'unsure' });
  return signs.length > 0 ? signs : [{ kind: 'in-place' }];
}

/** A sign in a few words, in the builder's unit. */
export function signInWords(sign: ItemSign, display: LengthDisplay): string {
  switch (sign.kind) {
    case 'slide':
      return signWords.slide(amountText(sign.mm, display), sign.mm > 0);
    case 'turn':
      return signWords.turn(degreesText(sign.degrees), sign.degrees > 0);
    default:
      return signWords[sign.kind];
  }
}

/** The same beside the sign itself, whose shape says the way. */
export function signInShort(sign: ItemSign, display: LengthDisplay): string {
  if (sign.kind === 'slide') return amountText(sign.mm, display);
  if (sign.kind === 'turn') return degreesText(sign.degrees);
  return signWords[sign.kind];
}
