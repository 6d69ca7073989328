import { reason } from '../../plan/reason.ts';
import type { Stretch } from '../../plan/stretch.ts';
import { cautionsFor } from '../../plan/findings/cautions.ts';
import { formatLength, lengthDigits } from '../../plan/lengths/length_text.ts';
import {
  type MarkDatum,
  type MarkList,
  type MarkRow,
  markList,
  markLists,
  markListCsv,
} from '../../plan/layouts/mark_list.ts';
import type { Plan } from '../../plan/plan.ts';
import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import { readingText, type TapeDivision, tapeDivisions } from '../../plan/lengths/tape_reading.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { fileStem, saveAs } from '../files/build_transfer.ts';
import { Fold } from '../kit/fold.tsx';
import { unreadFields } from '../edits/plan_edits.ts';
import { MarkOff } from './mark_off.tsx';
import { useMaterial } from './plan_blank.tsx';
import { ChoiceField, useKeptChoice } from '../fields/plan_fields.tsx';
import { useWrapPractice, WrapFields } from './plan_wraps.tsx';
import { pieceCount } from '../../store/plan_in_hand.ts';
import { pieceWords } from '../words/piece_words.ts';
import { planWords } from '../words/plan_words.ts';
import { kindWords } from '../words/sign_words.ts';

/** The list to mark the blank by: on screen, on paper, as a file. */
export function PlanMarks() {
  const document = useBuild().history.present;
  const { plan } = document;
  if (plan.positions.length === 0 || plan.blank.length === 0) return null;
  // a list that still has what stood in a field before would be marked off the blank
  if (unreadFields(document).length > 0) {
    return (
      <section aria-label={planWords.marks} className="marks">
        <h2>{planWords.marks}</h2>
        <p className="field-why">{planWords.marksUnread}</p>
      </section>
    );
  }
  return <Marks plan={plan} inPieces={pieceCount(plan) > 1} />;
}

function Marks({ plan, inPieces }: { plan: Plan; inPieces: boolean }) {
  const { datum } = useDatum();
  const [pieceFrom] = usePieceFrom();
  const { division } = useDivision();
  const wraps = useWrapPractice();
  const options = { division, wraps };
  const lists = inPieces ? markLists(plan, { ...options, from: pieceFrom }) : [markList(plan, { ...options, datum })];
  return (
    <>
      <section aria-label={planWords.marks} className="print-sheet marks">
        <h2 className="screen-only">{planWords.marks}</h2>
        <h1 className="print-only">{plan.title}</h1>
        <div className="field-pair screen-only">
          {inPieces ? <PieceFromField /> : <DatumField />}
          <DivisionField />
        </div>
        {lists.map((list, index) => (
          <ListOfMarks key={list.title} list={list} piece={inPieces ? index + 1 : undefined} of={lists.length} />
        ))}
      </section>
      <MarksWays plan={plan} lists={lists} />
      <Care />
    </>
  );
}

/** Where the marks of a rod in one piece are counted from; kept beside the plan. */
function useDatum() {
  const { fittings } = useBuild().history.present.plan;
  const ferrule = fittings?.find((fitting) => fitting.kind === 'ferrule');
  const [from, setFrom] = useKeptChoice('marks.from', ferrule ? ['tip', 'butt', 'ferrule'] : ['tip', 'butt']);
  const datum: MarkDatum =
    from === 'ferrule' && ferrule ? { from, at: ferrule.from } : { from: from as 'tip' | 'butt' };
  const ends = ferrule ? (['tip', 'butt', 'ferrule'] as const) : (['tip', 'butt'] as const);
  return { datum, from, setFrom, ends };
}

function DatumField() {
  const { from, setFrom, ends } = useDatum();
  return (
    <ChoiceField<string>
      label={planWords.marksFrom}
      value={from}
      names={Object.fromEntries(ends.map((end) => [end, planWords.datums[end]]))}
      onChange={(end) => setFrom(end as typeof from)}
    />
  );
}

/** From which end of its own each piece is marked. */
const usePieceFrom = () => useKeptChoice('marks.pieceFrom', ['tip', 'butt']);

function PieceFromField() {
  const [pieceFrom, setPieceFrom] = usePieceFrom();
  return (
    <ChoiceField label={pieceWords.marksFrom} value={pieceFrom} names={pieceWords.marksEnds} onChange={setPieceFrom} />
  );
}

/** The marks of the tape at hand, kept for each unit. */
function useDivision(): { division: TapeDivision; setDivision: (division: TapeDivision) => void; inches: boolean } {
  const inches = useBuild().history.present.lengths !== 'mm';
  const [division, setDivision] = useKeptChoice<TapeDivision>(
    inches ? 'marks.inches' : 'marks.mm',
    inches ? ['1/32 in', '1/16 in', '1/64 in'] : ['0.5 mm', '1 mm'],
  );
  return { division, setDivision, inches };
}

function DivisionField() {
  const { division, setDivision, inches } = useDivision();
  const divisions = tapeDivisions.filter((one) => one.endsWith('in') === inches);
  return (
    <ChoiceField<string>
      label={planWords.division}
      value={division}
      names={Object.fromEntries(divisions.map((one) => [one, one]))}
      onChange={(one) => setDivision(one as TapeDivision)}
    />
  );
}

/** Marking off at the bench, on paper, as a table, and the plan as a file. */
function MarksWays({ plan, lists }: { plan: Plan; lists: MarkList[] }) {
  const { actions } = useApp();
  const { lengths } = useBuild().history.present;
  const saveTable = () =>
    saveAs(
      new Blob([lists.map((list) => markListCsv(list, lengths)).join('\r\n')], { type: 'text/csv' }),
      `${fileStem(plan.title)}-marks.csv`,
    );
  return (
    <div className="ways screen-only">
      <MarkOff lists={lists} />
      <button type="button" onClick={() => print()}>
        {planWords.marksPrint}
      </button>
      <button type="button" onClick={saveTable}>
        {planWords.marksCsv}
      </button>
      <button type="button" onClick={() => void savePlan(plan).catch((error: unknown) => actions.tell(reason(error)))}>
        {planWords.planJson}
      </button>
    </div>
  );
}

/** How wraps are laid, and what can hurt or spoil. */
function Care() {
  const [material] = useMaterial();
  const cautions = cautionsFor([
    ...(material === 'carbon' ? (['carbon-blank'] as const) : []),
    'solvent',
    'blade',
    'epoxy',
  ]);
  return (
    <div className="screen-only care">
      <Fold title={planWords.wraps}>
        <WrapFields />
      </Fold>
      <h2>{planWords.care}</h2>
      <ul className="notes">
        {cautions.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </div>
  );
}

async function savePlan(plan: Plan): Promise<void> {
  const { planToFile } = await import('../../plan/files/plan_file.ts');
  saveAs(new Blob([`${JSON.stringify(planToFile(plan), null, 1)}\n`], { type: 'application/json' }), 'plan.json');
}

/** One list: of the rod, or of one of its pieces by itself. */
function ListOfMarks({ list, piece, of }: { list: MarkList; piece: number | undefined; of: number }) {
  const { lengths } = useBuild().history.present;
  const { datum } = list;
  return (
    <>
      {piece !== undefined && <h3>{pieceWords.piece(piece, of)}</h3>}
      <p>
        {datum.from === 'piece'
          ? pieceWords.marksFromEnd(datum.end)
          : datum.from === 'tip'
            ? planWords.marksFromTip
            : datum.from === 'butt'
              ? planWords.marksFromButt
              : planWords.marksFromFerrule}
      </p>
      {list.rows.length === 0 && <p className="hint">{pieceWords.marksNone}</p>}
      <ol className="mark-rows">
        {list.rows.map((row) => (
          <MarkLine key={row.id} row={row} list={list} display={lengths} />
        ))}
      </ol>
      {list.thread > 0 && <p>{planWords.marksAll((list.thread / 1000).toFixed(1))}</p>}
      {list.underwrapThread > 0 && <p>{planWords.marksUnderAll((list.underwrapThread / 1000).toFixed(1))}</p>}
      {list.trimThread > 0 && <p>{planWords.marksTrimAll((list.trimThread / 1000).toFixed(1))}</p>}
      {list.withoutFeet.length > 0 && <p>{planWords.marksOpenFeet(list.withoutFeet)}</p>}
    </>
  );
}

function MarkLine({ row, list, display }: { row: MarkRow; list: MarkList; display: LengthDisplay }) {
  const short = (mm: number) => lengthDigits(mm, display, { mmDecimals: 0, inchDecimals: 2, denominator: 32 });
  const stretches = (all: readonly Stretch[]) => all.map(({ from, to }) => `${short(from)}–${short(to)}`).join(', ');
  const leftDigits = lengthDigits(Math.abs(row.left), display === 'mm' ? 'mm' : 'in', {
    mmDecimals: 2,
    inchDecimals: 3,
  });
  const onward = row.toward === 'butt' ? 'butt' : 'tip';
  const back = row.toward === 'butt' ? 'tip' : 'butt';
  const facts = [
    Number(leftDigits) === 0
      ? ''
      : planWords.marksOff(`${leftDigits} ${display === 'mm' ? 'mm' : 'in'}`, row.left > 0 ? onward : back),
    row.ringOuter === undefined ? '' : planWords.marksRing(formatLength(row.ringOuter, 'mm')),
    row.roll ? planWords.marksRoll(row.roll) : '',
    row.feet.length > 0 ? planWords.marksFoot(stretches(row.feet)) : '',
    row.wraps.length > 0 ? planWords.marksWrap(stretches(row.wraps)) : '',
    row.wraps.length > 0
      ? planWords.marksThread(
          row.wraps.map((wrap) => wrap.turns.toFixed(0)).join(' + '),
          (row.wraps.reduce((sum, wrap) => sum + wrap.thread, 0) / 1000).toFixed(2),
        )
      : '',
    row.underwrap ? planWords.marksUnder(stretches([row.underwrap])) : '',
    row.trim.length > 0 ? planWords.marksTrim(stretches(row.trim)) : '',
  ].filter((fact) => fact !== '');
  return (
    <li className="mark-row">
      <strong className="mark-id">{row.id}</strong>
      <span className="mark-at">
        {readingText(row.reading, list.division)}
        {list.datum.from === 'ferrule' && ` ${planWords.toward(row.toward)}`}
      </span>
      <span className="mark-kind">{kindWords[row.kind]}</span>
      <span className="mark-facts">{facts.join(' · ')}</span>
    </li>
  );
}
