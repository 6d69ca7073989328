import { pieceWords } from '../words/piece_words.ts';
import { recordWords } from '../words/record_words.ts';
import { Sentences, SheetHead, Signature } from './record_sheet.tsx';
import { RecordTable } from './record_table.tsx';
import type { RodRecordContent, RodRecordPart } from './rod_record_content.ts';

/** One record of a rod in pieces: each piece with its last check, then the rod put together, and one place to sign. */
export function RodSheet({ content }: { content: RodRecordContent }) {
  const { title, ready, answer, facts, parts, joints, sign } = content;
  return (
    <section className="print-sheet record" aria-label={pieceWords.record}>
      <SheetHead
        title={title}
        of={pieceWords.record}
        verdict={ready ? 'ready' : 'reshoot'}
        answer={answer}
        facts={facts}
      />
      {parts.map((part) => (
        <PartRecord key={part.name} part={part} />
      ))}
      {joints && <p>{joints}</p>}
      {sign ? <Signature by={sign.by} /> : <p className="record-stale">{recordWords.notReady}</p>}
      <p className="hint">{recordWords.made}</p>
    </section>
  );
}

function PartRecord({ part: { name, says, old, content } }: { part: RodRecordPart }) {
  return (
    <section>
      <h3>{name}</h3>
      <p>{says}</p>
      {old && <p className="record-stale">{old}</p>}
      {content && (
        <>
          <RecordTable columns={content.columns} rows={content.rows} meaning={content.meaning} />
          <Sentences sentences={content.sentences} />
        </>
      )}
    </section>
  );
}
