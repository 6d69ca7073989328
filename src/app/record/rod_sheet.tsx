import { formatLength } from '../../plan/lengths/length_text.ts';
import { guidesAreOn } from '../../plan/shoot.ts';
import { type CheckedPart, isRodReady } from '../../store/rod_checks.ts';
import { degreesText, plannedText } from '../../verdict/wording.ts';
import { useBuild } from '../session/app_context.tsx';
import { buildsWords } from '../words/builds_words.ts';
import { pieceWords } from '../words/piece_words.ts';
import { planWords } from '../words/plan_words.ts';
import { recordWords } from '../words/record_words.ts';
import { recordContent } from './record_content.ts';
import { Signature } from './record_sheet.tsx';
import { RecordTable } from './record_table.tsx';

const day = new Intl.DateTimeFormat(undefined, { dateStyle: 'long', timeStyle: 'short' });

/** One record of a rod in pieces: each piece with its last check, then the rod put together, and one place to sign. */
export function RodSheet({ parts, by }: { parts: readonly CheckedPart[]; by: string }) {
  const { kept, history } = useBuild();
  const { lengths, plan } = history.present;
  const fine = (mm: number) => formatLength(mm, lengths === 'mm' ? 'mm' : 'in', { inchDecimals: 3 });
  const { length, tipDiameter, buttDiameter, finish } = plan.blank;
  const ready = isRodReady(parts);
  const together = parts.find(({ piece }) => piece === undefined);
  const facts: [string, string][] = [
    [recordWords.begun, day.format(new Date(kept.createdAt))],
    [
      recordWords.blank,
      recordWords.blankFacts(
        plannedText(length, lengths),
        fine(tipDiameter),
        fine(buttDiameter),
        planWords.finishes[finish],
      ),
    ],
    [recordWords.goodEnough, recordWords.goodEnoughFacts(fine(plan.tolerance.along), degreesText(plan.tolerance.roll))],
  ];
  return (
    <section className="print-sheet record" aria-label={pieceWords.record}>
      <header className="record-head">
        <h2 className="record-title">{plan.title.trim() || buildsWords.untitled}</h2>
        <p>{pieceWords.record}</p>
      </header>
      <p className={`record-verdict verdict-${ready ? 'ready' : 'reshoot'}`}>
        {ready ? pieceWords.ready : pieceWords.open}
      </p>
      <dl className="record-facts">
        {facts.map(([name, fact]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{fact}</dd>
          </div>
        ))}
      </dl>
      {parts.map((part) => (
        <PartRecord key={part.piece ?? 'together'} part={part} of={parts.length - 1} />
      ))}
      {!together?.check && <p>{pieceWords.jointsUnchecked}</p>}
      {ready ? <Signature by={by} /> : <p className="record-stale">{recordWords.notReady}</p>}
      <p className="hint">{recordWords.made}</p>
    </section>
  );
}

function PartRecord({ part, of }: { part: CheckedPart; of: number }) {
  const { kept, history } = useBuild();
  const { piece, check, standing, guides } = part;
  // the rod put together is said once below where it was not shot
  if (piece === undefined && !check) return null;
  const content =
    check && recordContent({ check, begun: kept.createdAt, document: history.present, current: standing, by: '' });
  return (
    <section>
      <h3>{piece === undefined ? pieceWords.recordTogether : pieceWords.piece(piece, of)}</h3>
      {!check && <p>{guides ? pieceWords.unchecked : pieceWords.noPlaces}</p>}
      {check && content && (
        <>
          <p>
            {content.answer} {recordWords.checked} {day.format(new Date(check.at))}.
            {!guidesAreOn(check.report.stage) && ` ${pieceWords.marksOnly}`}
          </p>
          {content.stale && <p className="record-stale">{pieceWords.old}</p>}
          <RecordTable columns={content.columns} rows={content.rows} />
          <ul className="notes">
            {content.sentences.map((sentence) => (
              <li key={sentence}>{sentence}</li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}
