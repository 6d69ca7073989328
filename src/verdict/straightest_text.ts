import { formatLength, type LengthDisplay } from '../plan/lengths/length_text.ts';
import type { LineOnAxis, StraightestAxis } from './straightest_axis.ts';
import { degreesText, doubtDigits, degreesDoubt, placeText, turnOf } from './wording.ts';

/** A line's place round the blank: `23 degrees clockwise`, `at the top`. */
export function lineText(roll: number): string {
  const round = Math.round(roll - 360 * Math.round(roll / 360));
  if (round === 0) return 'at the top';
  return Math.abs(round) === 180 ? 'at the bottom' : `${degreesText(round)} ${turnOf(round)} from the top`;
}

/**
 * The blank's own bow, and where to draw the guides' line so that it comes to lie up, down or sideways, in sentences.
 * Rolls are said from the top of the blank as it lay in the shoot of turn 0, as seen from the butt.
 */
export function straightestSentences({ roll, bow, sweep, line }: StraightestAxis, display: LengthDisplay): string[] {
  const unit = display === 'mm' ? 'mm' : 'in';
  const withDoubt = ({ value, expanded }: { value: number; expanded: number }) =>
    `${formatLength(value, unit)}, give or take ${doubtDigits(expanded, display)}`;
  if (bow.value <= bow.expanded)
    return [
      `The blank is straight as far as the shoots tell: it bows by no more than ${formatLength(bow.value + bow.expanded, unit)}. The line may be drawn on any side.`,
      ...(line ? ['The one drawn on it will do.'] : []),
    ];
  return [
    `The blank bows by ${withDoubt(bow)}, at ${placeText(bow.along, display)}.`,
    `Its middle stands out toward a line ${lineText(roll.value)} of the blank as it lay at turn 0, seen from the butt, give or take ${degreesDoubt(roll.expanded)} degrees.`,
    `With that line up or down it is straightest to the side: ${withDoubt(sweep)} are left.`,
    `For guides that the middle bows toward, draw their line ${lineText(roll.value)}; for guides that it bows away from, ${lineText(roll.value + 180)}; for a bow to the side, ${lineText(roll.value + 90)} or ${lineText(roll.value - 90)}.`,
    ...(line ? [lineSentence(line, display)] : []),
    'All of this is told from how it bows sideways, turn by turn: lying on a level mat, neither its weight nor the paper bends it that way.',
  ];
}

/** Where a drawn line lies against the bow, and what the bow does with that line on top. */
function lineSentence({ fromBow, up, side }: LineOnAxis, display: LengthDisplay): string {
  const unit = display === 'mm' ? 'mm' : 'in';
  const away = Math.abs(fromBow.value);
  const doubt = `give or take ${degreesDoubt(fromBow.expanded)} degrees`;
  const where =
    away <= fromBow.expanded
      ? `on the side its middle stands out toward, as far as the shoots tell, ${doubt}`
      : 180 - away <= fromBow.expanded
        ? `on the side its middle bows away from, as far as the shoots tell, ${doubt}`
        : `${degreesText(Math.round(fromBow.value))} ${turnOf(fromBow.value)} of the side its middle stands out toward, ${doubt}`;
  const amount = (mm: number) => formatLength(Math.abs(mm), unit);
  return `The line drawn on it lies ${where}: with that line on top the blank bows ${up < 0 ? 'down' : 'up'} by ${amount(up)} and to the side by ${amount(side)}.`;
}

/** How far the blank bows to the side with a line on top: a row a line. */
export function straightestRows({ against }: StraightestAxis, display: LengthDisplay): string[][] {
  const unit = display === 'mm' ? 'mm' : 'in';
  return [
    ['line on top', 'bow to the side'],
    ...against.map(({ roll, side }) => [`${roll}° clockwise`, formatLength(side, unit)]),
  ];
}
