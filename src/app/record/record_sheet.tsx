import { guidesAreOn } from '../../plan/shoot.ts';
import type { KeptCheck } from '../../store/build.ts';
import { adviceForExtra } from '../../verdict/advice.ts';
import { answerOf } from '../../verdict/answer.ts';
import { isUnsettled, isWrong } from '../../verdict/rod_verdict.ts';
import { sharedAdvice } from '../../verdict/shared_advice.ts';
import { degreesText, plannedText } from '../../verdict/wording.ts';
import { formatLength } from '../../plan/lengths/length_text.ts';
import { useBuild } from '../session/app_context.tsx';
import { SvgBlobImage } from '../kit/blob_image.tsx';
import { CloseUpPicture } from '../kit/close_up_picture.tsx';
import { RecordTable } from './record_table.tsx';
import { buildsWords } from '../words/builds_words.ts';
import { frameWords } from '../words/frame_words.ts';
import { planWords } from '../words/plan_words.ts';
import { recordWords } from '../words/record_words.ts';

const day = new Intl.DateTimeFormat(undefined, { dateStyle: 'long', timeStyle: 'short' });

/** The page itself: rod, plan, verdict, table, pictures, dates, and a line to sign where there is something to sign. */
export function RecordSheet({ check, current, by }: { check: KeptCheck; current: boolean; by: string }) {
  const { kept, history } = useBuild();
  const { lengths, thread } = history.present;
  const { plan, report, shoot } = check;
  const fine = (mm: number) => formatLength(mm, lengths === 'mm' ? 'mm' : 'in', { inchDecimals: 3 });
  const { length, tipDiameter, buttDiameter, finish } = plan.blank;
  const threadName = Object.entries(frameWords.threadNames).find(([colour]) => colour === thread)?.[1];
  const facts: [string, string][] = [
    [recordWords.checked, `${day.format(new Date(check.at))}`],
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
    ...(guidesAreOn(report.stage)
      ? [[recordWords.rollFrom, recordWords.references[shoot.rollReference]] as [string, string]]
      : []),
    ...(plan.datum ? [[recordWords.datum, planWords.datumNames[plan.datum]] as [string, string]] : []),
    [recordWords.photos, recordWords.photosOf(shoot.photos.length)],
    [recordWords.thread, threadName ?? recordWords.threadOwn],
  ];
  const advice = [
    ...new Set([
      ...sharedAdvice(report.items.filter((item) => isWrong(item) || isUnsettled(item))).flatMap(
        ({ sentence }) => sentence ?? [],
      ),
      ...(report.tipTop?.advice ? [report.tipTop.advice] : []),
      ...report.extras.map((extra) => extra.advice ?? adviceForExtra(extra, lengths)),
    ]),
  ];
  const shown = ['tip-top', ...plan.positions.map(({ id }) => id)].flatMap(
    (id) => check.evidence.closeUps.find((closeUp) => closeUp.id === id) ?? [],
  );
  const ready = report.verdict === 'ready' && current;
  return (
    <section className="print-sheet record" aria-label={recordWords.sheet}>
      <header className="record-head">
        <h2 className="record-title">{plan.title.trim() || buildsWords.untitled}</h2>
        <p>{recordWords.ofStage[report.stage]}</p>
      </header>
      <p className={`record-verdict verdict-${report.verdict}`}>{answerOf(report)}</p>
      {!current && <p className="record-stale">{recordWords.stale}</p>}
      <dl className="record-facts">
        {facts.map(([name, fact]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{fact}</dd>
          </div>
        ))}
      </dl>
      <RecordTable report={report} lengths={lengths} />
      {advice.length + report.notes.length > 0 && (
        <ul className="notes">
          {[...advice, ...report.notes].map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      )}
      {check.evidence.ribbon && (
        <svg
          className="record-ribbon"
          viewBox={`0 0 ${check.evidence.ribbon.picture.width} ${check.evidence.ribbon.picture.height}`}
          preserveAspectRatio="none"
          role="img"
          aria-label={recordWords.straightened}
        >
          <SvgBlobImage
            blob={check.evidence.ribbon.picture.image}
            x={0}
            y={0}
            width={check.evidence.ribbon.picture.width}
            height={check.evidence.ribbon.picture.height}
          />
        </svg>
      )}
      {shown.length > 0 && (
        <div className="record-pictures" role="group" aria-label={recordWords.pictures}>
          {shown.map((closeUp) => (
            <div key={closeUp.id}>
              <CloseUpPicture closeUp={closeUp} />
              <p>{closeUp.id}</p>
            </div>
          ))}
        </div>
      )}
      {ready ? (
        <div className="signature">
          <p>
            <span className="signature-line" />
            {recordWords.signed}
            {by.trim() && `, ${by.trim()}`}
          </p>
          <p>
            <span className="signature-line" />
            {recordWords.date}
          </p>
        </div>
      ) : (
        current && <p className="record-stale">{recordWords.notReady}</p>
      )}
      <p className="hint">{recordWords.made}</p>
    </section>
  );
}
