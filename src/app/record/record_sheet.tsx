import { SvgBlobImage } from '../kit/blob_image.tsx';
import { CloseUpPicture } from '../kit/close_up_picture.tsx';
import type { RecordContent } from './record_content.ts';
import { RecordTable } from './record_table.tsx';
import { recordWords } from '../words/record_words.ts';

/** The page itself: rod, plan, verdict, table, pictures, dates, and a line to sign where there is something to sign. */
export function RecordSheet({ content }: { content: RecordContent }) {
  const { stale, sentences, sign } = content;
  return (
    <section className="print-sheet record" aria-label={recordWords.sheet}>
      <SheetHead
        title={content.title}
        of={content.stage}
        verdict={content.verdict}
        answer={content.answer}
        facts={content.facts}
        stale={stale}
      />
      <RecordTable columns={content.columns} rows={content.rows} meaning={content.meaning} />
      {sentences.length > 0 && <Sentences sentences={sentences} />}
      <SheetPictures ribbon={content.ribbon} closeUps={content.closeUps} />
      {sign ? <Signature by={sign.by} /> : !stale && <p className="record-stale">{content.unsigned}</p>}
      <p className="hint">{recordWords.made}</p>
    </section>
  );
}

/** The rod's name, what the record is of, the verdict and the facts. */
export function SheetHead({
  title,
  of,
  verdict,
  answer,
  facts,
  stale = false,
}: Pick<RecordContent, 'title' | 'verdict' | 'answer' | 'facts'> & { of: string; stale?: boolean }) {
  return (
    <>
      <header className="record-head">
        <h2 className="record-title">{title}</h2>
        <p>{of}</p>
      </header>
      <p className={`record-verdict verdict-${verdict}`}>{answer}</p>
      {stale && <p className="record-stale">{recordWords.stale}</p>}
      <dl className="record-facts">
        {facts.map(([name, fact]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{fact}</dd>
          </div>
        ))}
      </dl>
    </>
  );
}

export const Sentences = ({ sentences }: Pick<RecordContent, 'sentences'>) => (
  <ul className="notes">
    {sentences.map((sentence) => (
      <li key={sentence}>{sentence}</li>
    ))}
  </ul>
);

/** The rod straightened out, and each ring from close by. */
function SheetPictures({ ribbon, closeUps }: Pick<RecordContent, 'ribbon' | 'closeUps'>) {
  return (
    <>
      {ribbon && (
        <svg
          className="record-ribbon"
          viewBox={`0 0 ${ribbon.width} ${ribbon.height}`}
          preserveAspectRatio="none"
          role="img"
          aria-label={recordWords.straightened}
        >
          <SvgBlobImage blob={ribbon.image} x={0} y={0} width={ribbon.width} height={ribbon.height} />
        </svg>
      )}
      {closeUps.length > 0 && (
        <div className="record-pictures" role="group" aria-label={recordWords.pictures}>
          {closeUps.map((closeUp) => (
            <div key={closeUp.id}>
              <CloseUpPicture closeUp={closeUp} />
              <p>{closeUp.id}</p>
            </div>
          ))}
        </div>
      )}
    </>
  );
}

/** The lines to sign and date on. */
export function Signature({ by }: { by: string }) {
  return (
    <div className="signature">
      <p>
        <span className="signature-line" />
        {recordWords.signed}
        {by && `, ${by}`}
      </p>
      <p>
        <span className="signature-line" />
        {recordWords.date}
      </p>
    </div>
  );
}
