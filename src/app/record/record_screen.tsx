import { useState } from 'react';
import { reportCsv } from '../../store/export_table.ts';
import { isCurrent } from '../../store/is_current.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { fileStem, saveAs } from '../files/build_transfer.ts';
import { withWritten } from '../edits/plan_edits.ts';
import { ChoiceField, TextField } from '../fields/plan_fields.tsx';
import { RecordSheet } from './record_sheet.tsx';
import { changeWords } from '../words/changes_words.ts';
import { recordWords } from '../words/record_words.ts';

const when = new Intl.DateTimeFormat(undefined, { dateStyle: 'medium', timeStyle: 'short' });

/** The record step: one page to print and sign, the table, and the whole build as a file. */
export function RecordScreen() {
  const { actions } = useApp();
  const { history, checks } = useBuild();
  const document = history.present;
  const [chosen, choose] = useState<string>();
  const [packing, setPacking] = useState(false);
  const check = checks.find(({ id }) => id === chosen) ?? checks[0];
  const by = document.written?.['record.by']?.text ?? '';
  return (
    <>
      <div className="screen-only record-ways">
        {check && (
          <div className="ways">
            <button type="button" className="primary" onClick={() => print()}>
              {recordWords.print}
            </button>
            <button
              type="button"
              onClick={() =>
                saveAs(
                  new Blob([reportCsv(check.report, document.lengths)], { type: 'text/csv' }),
                  `${fileStem(document.plan.title)}-${recordWords.stage[check.report.stage]}.csv`,
                )
              }
            >
              {recordWords.csv}
            </button>
          </div>
        )}
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
        {check && (
          <div className="field-pair">
            {checks.length > 1 && (
              <ChoiceField<string>
                label={recordWords.which}
                value={check.id}
                names={Object.fromEntries(
                  checks.map(({ id, at, report }) => [
                    id,
                    `${recordWords.ofStage[report.stage]}, ${when.format(new Date(at))}`,
                  ]),
                )}
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
        )}
      </div>
      {check && <RecordSheet check={check} current={check === checks[0] && isCurrent(check, document)} by={by} />}
    </>
  );
}
