import { guidesAreOn } from '../../plan/shoot.ts';
import { formatLength, type LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { BuildDocument, KeptCheck, ShownEvidence, ShownPicture } from '../../store/build.ts';
import { isTurnedAllRound, straightestOf, type TurnedBlank } from '../../store/turned_blanks.ts';
import { adviceForExtra } from '../../verdict/advice.ts';
import { answerOf } from '../../verdict/answer.ts';
import { blankRows, blankSentences } from '../../verdict/blank_table.ts';
import type { Measured, Report, ReportBlank, ReportItem, RodVerdict } from '../../verdict/report.ts';
import { stateText, tipTopState } from '../../verdict/report_table.ts';
import { isUnsettled, isWrong } from '../../verdict/rod_verdict.ts';
import { sharedAdvice } from '../../verdict/shared_advice.ts';
import {
  capitalized,
  degreesDoubt,
  degreesText,
  differenceText,
  doubtDigits,
  plannedText,
} from '../../verdict/wording.ts';
import { buildsWords } from '../words/builds_words.ts';
import { frameWords } from '../words/frame_words.ts';
import { planWords } from '../words/plan_words.ts';
import { recordWords } from '../words/record_words.ts';

/** Everything a record says, in the order it says it: on the screen, on paper and in a file alike. */
export interface RecordContent {
  title: string;
  stage: string;
  verdict: RodVerdict;
  answer: string;
  /** plan or photos changed since */
  stale: boolean;
  facts: [name: string, fact: string][];
  columns: string[];
  /** the place's name first */
  rows: string[][];
  /** what to do, and what can be said of the whole */
  sentences: string[];
  ribbon?: ShownPicture;
  closeUps: ShownEvidence['closeUps'];
  /** what the signs in the table say */
  meaning: string;
  /** all is in place: a line to sign, with the name under it */
  sign?: { by: string };
  /** why there is none, where the check still speaks of plan and photos */
  unsigned: string;
}

/** What is recorded: a check, the build it was made of, and who made it. */
export interface Recorded {
  check: KeptCheck;
  /** ISO 8601 */
  begun: string;
  document: Pick<BuildDocument, 'lengths' | 'thread'>;
  /** the check still speaks of the plan and photos as they are */
  current: boolean;
  by: string;
  /** the same bare blank at each turn it was measured at */
  turned?: readonly TurnedBlank[];
}

const day = new Intl.DateTimeFormat(undefined, { dateStyle: 'long', timeStyle: 'short' });

export function recordContent(recorded: Recorded): RecordContent {
  const { check, document, current, by } = recorded;
  const { plan, report, evidence } = check;
  const { lengths } = document;
  return {
    title: plan.title.trim() || buildsWords.untitled,
    stage: recordWords.ofStage[report.stage],
    verdict: report.verdict,
    answer: answerOf(report),
    stale: !current,
    facts: factsOf(recorded),
    ...(report.blank
      ? blankTable(report.blank, lengths)
      : { columns: columnsOf(report), rows: rowsOf(report, lengths) }),
    meaning: report.blank ? recordWords.meaningBlank : recordWords.meaning,
    sentences: [
      ...new Set([
        ...(report.blank ? blankSentences(report.blank, lengths) : []),
        ...axisSentences(recorded),
        ...sharedAdvice(report.items.filter((item) => isWrong(item) || isUnsettled(item))).flatMap(
          ({ sentence }) => sentence ?? [],
        ),
        ...(report.tipTop?.advice ? [report.tipTop.advice] : []),
        ...report.extras.map((extra) => extra.advice ?? adviceForExtra(extra, lengths)),
        ...report.notes,
      ]),
    ],
    ...(evidence.ribbon && { ribbon: evidence.ribbon.picture }),
    closeUps: ['tip-top', ...plan.positions.map(({ id }) => id)].flatMap(
      (id) => evidence.closeUps.find((closeUp) => closeUp.id === id) ?? [],
    ),
    ...(report.verdict === 'ready' && current && { sign: { by: by.trim() } }),
    unsigned: report.blank ? recordWords.notMeasured : recordWords.notReady,
  };
}

/** The blank and the tolerance as planned: facts of every record. */
export function factsPlanned(
  { blank, tolerance }: BuildDocument['plan'],
  lengths: BuildDocument['lengths'],
): [name: string, fact: string][] {
  const fine = (mm: number) => formatLength(mm, lengths === 'mm' ? 'mm' : 'in', { inchDecimals: 3 });
  const { length, tipDiameter, buttDiameter, finish } = blank;
  return [
    [
      recordWords.blank,
      recordWords.blankFacts(
        plannedText(length, lengths),
        fine(tipDiameter),
        fine(buttDiameter),
        planWords.finishes[finish],
      ),
    ],
    [recordWords.goodEnough, recordWords.goodEnoughFacts(fine(tolerance.along), degreesText(tolerance.roll))],
  ];
}

function factsOf({ check, begun, document: { lengths, thread } }: Recorded): [string, string][] {
  const { plan, report, shoot } = check;
  const plannedFacts = factsPlanned(plan, lengths);
  const threadName = Object.entries(frameWords.threadNames).find(([colour]) => colour === thread)?.[1];
  return [
    [recordWords.checked, day.format(new Date(check.at))],
    [recordWords.begun, day.format(new Date(begun))],
    ...(report.blank ? turnFact(report.blank) : plannedFacts),
    ...(guidesAreOn(report.stage)
      ? [[recordWords.rollFrom, recordWords.references[shoot.rollReference]] as [string, string]]
      : []),
    ...(plan.datum ? [[recordWords.datum, planWords.datumNames[plan.datum]] as [string, string]] : []),
    [recordWords.photos, recordWords.photosOf(shoot.photos.length)],
    [recordWords.thread, threadName ?? recordWords.threadOwn],
  ];
}

/** The straightest axis, once the blank was measured at all four turns. */
function axisSentences({ check, document: { lengths }, turned = [] }: Recorded): string[] {
  if (!check.report.blank || !isTurnedAllRound(turned)) return [];
  return [recordWords.axisOf(turned.map(({ turn }) => `${turn}°`)), ...straightestOf(turned, lengths).sentences];
}

const turnFact = ({ turn }: ReportBlank): [string, string][] =>
  turn === undefined ? [] : [[recordWords.turn, `${turn}°`]];

/** A sheet of paper takes every fourth place of a measured blank, and its last. */
function blankTable(blank: ReportBlank, lengths: LengthDisplay): Pick<RecordContent, 'columns' | 'rows'> {
  const [columns = [], ...rows] = blankRows(blank, lengths);
  return { columns: columns.map(capitalized), rows: rows.filter((_, i) => i % 4 === 0 || i === rows.length - 1) };
}

function columnsOf(report: Report): string[] {
  const { place, planned, found, off, roll, ring, verdict } = recordWords.columns;
  return [place, planned, found, off, ...(guidesAreOn(report.stage) ? [roll, ring] : []), verdict];
}

const nothing = '–';

/** Every place with what was found and how sure it is, cell by cell. */
function rowsOf(report: Report, lengths: LengthDisplay): string[][] {
  const rings = guidesAreOn(report.stage);
  const unit = lengths === 'mm' ? 'mm' : 'in';
  const measured = (value: Measured | undefined) =>
    value ? `${formatLength(value.value, unit)} ± ${doubtDigits(value.expanded, lengths)}` : nothing;
  const off = ({ along, planned }: ReportItem) => {
    if (!along) return nothing;
    const difference = along.value - planned;
    const text = differenceText(difference, lengths);
    return Number.parseFloat(text) === 0 ? text : recordWords.towards(text, difference > 0);
  };
  const roll = (value: Measured | undefined) => {
    if (!value) return nothing;
    const degrees = Math.abs(value.value).toFixed(1);
    const turn = Number(degrees) === 0 ? '' : value.value < 0 ? ' ↺' : ' ↻';
    return `${degrees}°${turn} ± ${degreesDoubt(value.expanded)}`;
  };
  const items = report.items.map((item) => [
    item.id,
    plannedText(item.planned, lengths),
    measured(item.along),
    off(item),
    ...(rings ? [roll(item.roll), measured(item.ringOuter)] : []),
    capitalized(stateText(item)),
  ]);
  if (!report.tipTop) return items;
  const { tipTop } = report;
  return [
    ...items,
    [
      recordWords.tipTop,
      nothing,
      nothing,
      nothing,
      ...(rings ? [roll(tipTop.roll), nothing] : []),
      capitalized(tipTopState(tipTop)),
    ],
  ];
}
