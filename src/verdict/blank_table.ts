import { formatLength, type LengthDisplay } from '../plan/lengths/length_text.ts';
import type { Measured, ReportBlank } from './report.ts';
import { lineText } from './straightest_text.ts';
import { degreesDoubt, doubtDigits, measuredText, placeText } from './wording.ts';

/** A bow smaller than its doubt is none that is known of. */
export interface LargestBow {
  along: number;
  side: Measured;
  up: Measured;
}

/** Where the blank stands farthest from its chord sideways and up. */
export function largestBow({ bow, bowExpanded }: ReportBlank): { side: LargestBow; up: LargestBow } | undefined {
  const rows = bow.map(([along, side, up], i): LargestBow => {
    const [sideDoubt, upDoubt] = bowExpanded?.[i] ?? [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
    return { along, side: { value: side, expanded: sideDoubt }, up: { value: up, expanded: upDoubt } };
  });
  const [first] = rows;
  if (!first) return undefined;
  const most = (way: 'side' | 'up') =>
    rows.reduce((a, b) => (Math.abs(b[way].value) > Math.abs(a[way].value) ? b : a), first);
  return { side: most('side'), up: most('up') };
}

/** Length, grip, bow and drawn line of a measured blank in sentences, in the builder's unit. */
export function blankSentences(blank: ReportBlank, display: LengthDisplay): string[] {
  const bow = largestBow(blank);
  return [
    ...(blank.length ? [lengthSentence(blank.length, display)] : []),
    ...(blank.fittings ?? []).map((fitting) => fittingSentence(fitting, display)),
    ...(blank.grip ? [`The grip begins at ${measuredText(blank.grip, display)}.`] : []),
    ...(bow ? [bowSentence(bow.side, 'side', display), bowSentence(bow.up, 'up', display)] : []),
    ...(blank.line ? [drawnLineSentence(blank.line.roll)] : []),
  ];
}

function lengthSentence({ value, expanded }: Measured, display: LengthDisplay): string {
  const unit = display === 'mm' ? 'mm' : 'in';
  return `The blank is ${formatLength(value, unit)} long, give or take ${doubtDigits(expanded, display)}.`;
}

function fittingSentence(
  { kind, from, to, thicker }: NonNullable<ReportBlank['fittings']>[number],
  display: LengthDisplay,
): string {
  const unit = display === 'mm' ? 'mm' : 'in';
  const mm = (value: number) => formatLength(value, unit);
  const doubt = doubtDigits(Math.max(from.expanded, to.expanded), display);
  const where = `from ${mm(from.value)} to ${mm(to.value)}, each give or take ${doubt}, ${mm(thicker)} thicker than the blank`;
  if (kind === 'ferrule') return `A ferrule or sleeve stands ${where}.`;
  if (kind === 'winding-check') return `Before the grip a winding check or trim stands ${where}.`;
  if (kind === 'at-grip')
    return `Before the grip something stands ${where}: a winding check or the grip’s own front, which was not made out.`;
  return `Something stands ${where}: what it is was not made out.`;
}

const drawnLineSentence = ({ value, expanded }: Measured): string =>
  `A line is drawn along it, ${lineText(value)} as it lies, seen from the butt, give or take ${degreesDoubt(expanded)} degrees.`;

function bowSentence(most: LargestBow, way: 'side' | 'up', display: LengthDisplay): string {
  const { value, expanded } = most[way];
  const name = way === 'side' ? 'Sideways' : 'Up and down';
  const unit = display === 'mm' ? 'mm' : 'in';
  const doubt = doubtDigits(expanded, display);
  if (Math.abs(value) <= expanded)
    return `${name} it is straight as far as the photos tell, give or take ${doubt} ${unit}.`;
  const toward = way === 'side' ? (value > 0 ? 'to the right' : 'to the left') : value > 0 ? 'up' : 'down';
  const seen = way === 'side' ? ', as seen from the butt' : ', as it lies';
  const amount = formatLength(Math.abs(value), unit);
  return `${name} it bows ${toward} by ${amount}, give or take ${doubt}, at ${placeText(most.along, display)}${seen}.`;
}

/** One row a place: how far from the tip, the diameter, and the bow sideways and up, each with its doubt. */
export function blankRows({ diameters, bow, bowExpanded }: ReportBlank, display: LengthDisplay): string[][] {
  const unit = display === 'mm' ? 'mm' : 'in';
  const figures = (value: number) =>
    (display === 'mm' ? value.toFixed(2) : (value / 25.4).toFixed(3)).replace(/^-(?=[0.]+$)/, '');
  const doubt = (value: number) =>
    display === 'mm' ? (Math.ceil(value * 100) / 100).toFixed(2) : doubtDigits(value, display);
  return [
    ['from the tip', `diameter (${unit})`, 'to the right', 'up'],
    ...diameters.map(([along, diameter, expanded], i) => {
      const [, side, up] = bow[i] ?? [along, 0, 0];
      const [sideDoubt, upDoubt] = bowExpanded?.[i] ?? [undefined, undefined];
      const withDoubt = (value: number, u: number | undefined) =>
        u === undefined ? figures(value) : `${figures(value)} ± ${doubt(u)}`;
      return [
        placeText(along, display),
        withDoubt(diameter, expanded),
        withDoubt(side, sideDoubt),
        withDoubt(up, upDoubt),
      ];
    }),
  ];
}
