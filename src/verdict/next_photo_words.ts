import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import type { ReportNextPhoto } from './report.ts';
import { degreesDoubt, doubtDigits, listText } from './wording.ts';

/** What the photo that helps most is expected to do for one item. */
export interface PhotoForItem {
  photo: ReportNextPhoto;
  expects: ReportNextPhoto['expects'][number];
}

/** "about 45 cm (18 in)" */
const aboutText = (mm: number): string => `about ${Math.round(mm / 10)} cm (${Math.round(mm / 25.4)} in)`;

/** Over what and from where, to stand after "One more photo". */
export function nextPhotoText({ over, from, height, stand }: ReportNextPhoto): string {
  const what = typeof over === 'object' ? over.id : over === 'tip' ? 'the tip' : 'the seat card';
  const up = `${aboutText(height)} up`;
  const shift = aboutText(Math.abs(stand.along));
  const where = {
    above: `straight down from ${aboutText(height)}`,
    side: `from ${up} and ${aboutText(stand.across)} to one side of the rod, looking at it aslant`,
    tip: `from ${up} and ${shift} nearer to the tip, looking back at it`,
    butt: `from ${up} and ${shift} nearer to the butt, looking back at it`,
  }[from];
  return `of ${what}, ${where}`;
}

const doubtOf = ': the doubt of ';

export function photoForItemText({ photo, expects }: PhotoForItem, id: string, display: LengthDisplay): string {
  const { on, settles } = expects;
  const digits = (expanded: number) => (on === 'along' ? doubtDigits(expanded, display) : degreesDoubt(expanded));
  const unit = on === 'roll' ? 'degrees' : display === 'mm' ? 'mm' : 'in';
  const [before, after] = [digits(expects.before), digits(expects.after)];
  const enough = settles ? ', which would settle it' : '';
  return `One more photo ${nextPhotoText(photo)}${doubtOf}${id} should fall from ${before} to ${after} ${unit}${enough}.`;
}

/** The photo alone that an advice of this kind asks for, so that it can be said once for several places. */
export function photoAskedFor(advice: string): { photo: string; say: (ids: readonly string[]) => string } | undefined {
  const end = advice.indexOf(doubtOf);
  if (end < 0) return undefined;
  const photo = advice.slice(0, end);
  return { photo, say: (ids) => `${photo}${doubtOf}${listText(ids)} should fall.` };
}
