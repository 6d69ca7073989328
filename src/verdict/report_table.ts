import { guidesAreOn } from '../plan/shoot.ts';
import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import type { Plan } from '../plan/plan.ts';
import { answerOf } from './answer.ts';
import { blankRows, blankSentences } from './blank_table.ts';
import { ringOnMarkSentence } from './compare_reports.ts';
import type { Measured, Report, ReportItem, ReportTipTop } from './report.ts';
import { sharedAdvice } from './shared_advice.ts';
import { sightingOf } from './sighting.ts';
import {
  degreesDoubt,
  differenceText,
  displayOf,
  doubtDigits,
  placeText,
  plannedText,
  towardOf,
  turnOf,
} from './wording.ts';

/**
 * A report as plain text for a terminal: the answer in words and what can be said of the whole, one row a place, what
 * to do and why, the photos' problems and the scale. No colour, nothing wider than it must be.
 */
export function reportTable(plan: Plan, report: Report, display: LengthDisplay = displayOf(plan)): string {
  const rings = guidesAreOn(report.stage);
  const head = ['', 'planned', 'found', 'off', ...(rings ? ['roll', 'ring'] : []), ''];
  const rows = report.items.map((item) => rowOf(item, rings, display));
  const blocks = [
    [answerOf(report)],
    report.blank ? blankSentences(report.blank, display) : [],
    report.notes,
    report.blank ? columns(blankRows(report.blank, display)) : [],
    report.items.length > 0 ? columns([head, ...rows, ...(report.tipTop ? [tipTopRow(report.tipTop)] : [])]) : [],
    sharedAdvice(report.items.filter((i) => i.advice || i.cause)).map(({ items, sentence }) =>
      [sentence, ...new Set(items.map(({ cause }) => cause))].filter(Boolean).join(' '),
    ),
    report.tipTop?.advice ? [report.tipTop.advice] : [],
    report.extras.map((e) => e.advice ?? `Not in the plan: ${e.kind} at ${withDoubt(e.along, display)}.`),
    report.items.flatMap((i) =>
      i.mark
        ? [
            ringOnMarkSentence(
              { id: i.id, fromMark: i.mark.fromRing, markOff: i.mark.along.value - i.planned },
              display,
            ),
          ]
        : [],
    ),
    report.photos.flatMap((p) => p.problems.map((problem) => `${p.file}: ${problem}`)),
    [
      scaleSentence(report),
      ...(report.flatWithin === undefined ? [] : [flatSentence(report.flatWithin)]),
      ...halvesSentences(report),
      ...profileSentences(report),
      ...(report.blank || report.items.some((i) => i.found)
        ? [
            `± is the doubt: about 95 in 100 lie within it.${guidesAreOn(report.stage) ? ' Clockwise is as seen from the butt.' : ''}`,
          ]
        : []),
    ],
  ];
  return `${blocks
    .filter((lines) => lines.length > 0)
    .map((lines) => lines.join('\n'))
    .join('\n\n')}\n`;
}

function rowOf(item: ReportItem, rings: boolean, display: LengthDisplay): string[] {
  const { along, roll, ringOuter } = item;
  const offset = along && along.value - item.planned;
  const row = [
    item.id,
    plannedText(item.planned, display),
    along ? withDoubt(along, display) : '-',
    offset === undefined
      ? '-'
      : `${differenceText(offset, display)}${near(offset, display) ? '' : ` ${towardOf(offset)}`}`,
  ];
  if (rings) row.push(roll ? rollWithDoubt(roll) : '-', ringOuter ? withDoubt(ringOuter, display) : '-');
  row.push(stateText(item));
  return row;
}

const tipTopRow = (tipTop: ReportTipTop): string[] => [
  'tip-top',
  '-',
  '-',
  '-',
  tipTop.roll ? rollWithDoubt(tipTop.roll) : '-',
  '-',
  tipTopState(tipTop),
];

/** What the tip-top's row says at its end. */
export function tipTopState({ sighting, rollVerdict }: ReportTipTop): string {
  const states = { on: 'in line', off: 'rolled', unsure: 'roll not settled' };
  return sighting === 'found' ? states[rollVerdict] : lostText[sighting];
}

const near = (offset: number, display: LengthDisplay): boolean =>
  Number.parseFloat(differenceText(offset, display)) === 0;

const lostText = { 'not-there': 'missing', 'not-made-out': 'not made out', 'in-no-photo': 'in no photo' };

/** What a row says at its end. */
export function stateText(item: ReportItem): string {
  const hand = item.byHand ? ', set by hand' : '';
  const sighting = sightingOf(item);
  if (sighting !== 'found') return lostText[sighting];
  const wrong = [
    item.guideVerdict === 'different' ? 'another guide' : '',
    item.alongVerdict === 'off' ? 'off' : '',
    item.rollVerdict === 'off' ? 'rolled' : '',
    item.setWrongWay ? 'wrong way round' : '',
  ].filter(Boolean);
  if (wrong.length > 0) return `${wrong.join(', ')}${hand}`;
  const open = [
    item.alongVerdict === 'unsure' ? 'place' : '',
    item.rollVerdict === 'unsure' ? 'roll' : '',
    item.guideVerdict === 'unsure' ? 'ring size' : '',
  ].filter(Boolean);
  if (open.length > 0) return `${open.join(' and ')} not settled${hand}`;
  return `in place${hand}`;
}

function withDoubt(measured: Measured, display: LengthDisplay): string {
  const value = display === 'mm' ? placeText(measured.value, display) : `${(measured.value / 25.4).toFixed(3)} in`;
  return `${value} ± ${doubtDigits(measured.expanded, display)}`;
}

function rollWithDoubt(roll: Measured): string {
  const degrees = Number(Math.abs(roll.value).toFixed(1));
  return `${degrees}°${degrees === 0 ? '' : ` ${turnOf(roll.value)}`} ± ${degreesDoubt(roll.expanded)}`;
}

/** How places were judged where the span was measured by the tape that laid off the marks. */
export const sharedTape =
  'Places are judged without that: the tape that measured the span also laid off the marks, and its own scale cancels.';

/** How the two halves of a walk agree; where they don't, the notes say it. */
export const halvesSentences = ({ halves }: Report): string[] =>
  halves && halves.widened === undefined
    ? [`Worked out from every other photo and from the rest, places agree to ${halves.apart.toFixed(2)} mm.`]
    : [];

/** What was kept from photos taken before and joined in; what did not fit is said in the notes. */
export const profileSentences = ({ profiles = [] }: Report): string[] =>
  profiles.flatMap(({ kind, name, used }) => (used ? [`The kept ${kind} “${name}” was used.`] : []));

/** How flat the mat lay. */
export const flatSentence = (within: number): string =>
  `The mat lay flat within ${Math.max(within, 0.1).toFixed(1)} mm; its waves are taken into account.`;

const scaleSentence = ({ scale }: Report): string =>
  `The mat is printed at ${(100 * scale.along).toFixed(2)} % along and ${(100 * scale.across).toFixed(2)} % across, give or take ${Math.max(0.01, Math.ceil(1e4 * scale.expanded) / 100).toFixed(2)} %.${scale.shared ? ` ${sharedTape}` : ''}`;

/** Rows as lines of aligned columns. */
export function columns(rows: readonly string[][]): string[] {
  const widths = rows.reduce<number[]>((wide, row) => row.map((cell, i) => Math.max(wide[i] ?? 0, cell.length)), []);
  return rows.map((row) =>
    row
      .map((cell, i) => cell.padEnd(widths[i]!))
      .join('  ')
      .trimEnd(),
  );
}
