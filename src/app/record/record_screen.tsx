import { useState } from 'react';
import type { KeptCheck } from '../../store/build.ts';
import { reportCsv } from '../../store/export_table.ts';
import { isCurrent } from '../../store/is_current.ts';
import { pieceCount } from '../../store/plan_in_hand.ts';
import { checkedParts } from '../../store/rod_checks.ts';
import { turnedBlanks } from '../../store/turned_blanks.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { fileStem, saveAs } from '../files/build_transfer.ts';
import { withWritten } from '../edits/plan_edits.ts';
import { ChoiceField, TextField } from '../fields/plan_fields.tsx';
import { recordContent } from './record_content.ts';
import { recordFile, rodRecordFile } from './record_file.ts';
import { rodRecordContent } from './rod_record_content.ts';
import { RodSheet } from './rod_sheet.tsx';
import { RecordSheet } from './record_sheet.tsx';
import { changeWords } from '../words/changes_words.ts';
import { pieceWords } from '../words/piece_words.ts';
import { recordWords } from '../words/record_words.ts';

const when = new Intl.DateTimeFormat(undefined, { dateStyle: 'medium', timeStyle: 'short' });

/** The choice of one record for a rod in pieces, beside the checks. */
const wholeRod = 'whole-rod';

const fileName = ({ plan, report }: KeptCheck) => `${fileStem(plan.title)}-${recordWords.stage[report.stage]}`;

/** The record step: one page to print and sign, the table, and the whole build as a file. */
export function RecordScreen() {
  const { kept, history, checks } = useBuild();
  const document = history.present;
  const [chosen, choose] = useState<string>();
  const check = checks.find(({ id }) => id === chosen) ?? checks[0];
  const by = document.written?.['record.by']?.text ?? '';
  // a rod in pieces has one record, unless one check is asked for
  const parts = check && (chosen === undefined || chosen === wholeRod) ? checkedParts(document, checks) : [];
  const content =
    check &&
    recordContent({
      check,
      begun: kept.createdAt,
      document,
      current: check === checks[0] && isCurrent(check, document),
      by,
      turned: turnedBlanks(checks, check.shoot.piece),
    });
  const rod = parts.length > 0 ? rodRecordContent(document, parts, { begun: kept.createdAt, by }) : undefined;
  return (
    <>
      <div className="screen-only record-ways">
        {rod ? (
          <RecordFiles
            name={fileStem(document.plan.title)}
            page={() => rodRecordFile(rod)}
            checks={parts.flatMap((part) => part.check ?? [])}
            hint={pieceWords.recordPageHelp}
          />
        ) : (
          content && (
            <RecordFiles
              name={fileName(check)}
              page={() => recordFile(content)}
              checks={[check]}
              hint={recordWords.pageHelp}
            />
          )
        )}
        <WholeBuild />
        {check && <RecordFields check={check} shown={rod ? wholeRod : check.id} by={by} choose={choose} />}
      </div>
      {rod ? <RodSheet content={rod} /> : content && <RecordSheet content={content} />}
    </>
  );
}

/**
 * The record as paper, as a page of its own, and as a table: of a check, or of a rod in pieces one below the other.
 */
function RecordFiles({
  name,
  page,
  checks,
  hint,
}: {
  /** of the files, without what tells their kind */
  name: string;
  page: () => Promise<Blob>;
  checks: readonly KeptCheck[];
  hint: string;
}) {
  const { lengths } = useBuild().history.present;
  const table = () =>
    new Blob([checks.map(({ report }) => reportCsv(report, lengths)).join('\r\n')], { type: 'text/csv' });
  return (
    <div className="ways">
      <button type="button" className="primary" onClick={() => print()}>
        {recordWords.print}
      </button>
      <button type="button" onClick={() => void page().then((file) => saveAs(file, `${name}.html`))}>
        {recordWords.page}
      </button>
      <button type="button" onClick={() => saveAs(table(), `${name}.csv`)}>
        {recordWords.csv}
      </button>
      <p className="hint">{hint}</p>
    </div>
  );
}

function WholeBuild() {
  const { actions } = useApp();
  const [packing, setPacking] = useState(false);
  return (
    <div className="ways">
      <button
        type="button"
        disabled={packing}
        onClick={() => {
          setPacking(true);
          void actions.exportBuild().finally(() => setPacking(false));
        }}
      >
        {packing ? recordWords.zipping : recordWords.zip}
      </button>
      <p className="hint">{recordWords.zipHelp}</p>
    </div>
  );
}

/** Which check the record is of, and who made it. */
function RecordFields({
  check,
  shown,
  by,
  choose,
}: {
  check: KeptCheck;
  shown: string;
  by: string;
  choose: (id: string) => void;
}) {
  const { actions } = useApp();
  const { checks, history } = useBuild();
  const inPieces = pieceCount(history.present.plan) > 1;
  const pieceOf = ({ piece }: KeptCheck['report']) => (piece ? `${pieceWords.piece(piece.number, piece.of)}: ` : '');
  return (
    <div className="field-pair">
      {(checks.length > 1 || inPieces) && (
        <ChoiceField<string>
          label={recordWords.which}
          value={inPieces ? shown : check.id}
          names={Object.fromEntries([
            ...(inPieces ? [[wholeRod, pieceWords.recordAll]] : []),
            ...checks.map(({ id, at, report }) => [
              id,
              `${pieceOf(report)}${recordWords.ofStage[report.stage]}, ${when.format(new Date(at))}`,
            ]),
          ])}
          onChange={choose}
        />
      )}
      <TextField
        label={recordWords.by}
        value={by}
        onChange={(text) =>
          actions.edit(
            changeWords.field(recordWords.by),
            (before) => withWritten(before, 'record.by', text === '' ? undefined : { text }),
            'record.by',
          )
        }
      />
    </div>
  );
}
