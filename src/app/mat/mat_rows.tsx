import { useState } from 'react';
import { type PrintedField, readingProblems } from '../../mat/readings.ts';
import type { PaperName } from '../../mat/tile.ts';
import { useBuild } from '../session/app_context.tsx';
import { MatLengthField } from '../fields/mat_length_field.tsx';
import { useShootEdit, withKey } from './mat_readings_edit.ts';
import { matWords } from '../words/mat_words.ts';

const rows: readonly PrintedField[] = ['rowAlong', 'rowAcross'];
const bars: readonly PrintedField[] = ['barAlong', 'barAcross'];

/** One page's rows of squares as they were measured; a mat printed with check bars keeps its bars. */
export function MatRows({ mat }: { mat: { paper: PaperName; tiles: number } }) {
  const { shoot } = useBuild().history.present;
  const hasBars = bars.some((field) => shoot.mat[field] !== undefined);
  // Typing must not fold it up.
  const [startsOpen] = useState(hasBars);
  return (
    <>
      {!hasBars && <PrintedLengths mat={mat} fields={rows} />}
      <details open={startsOpen}>
        <summary>{matWords.oldMat}</summary>
        <PrintedLengths mat={mat} fields={bars} />
      </details>
    </>
  );
}

function PrintedLengths({
  mat,
  fields,
}: {
  mat: { paper: PaperName; tiles: number };
  fields: readonly PrintedField[];
}) {
  const { lengths, shoot } = useBuild().history.present;
  const edit = useShootEdit();
  return (
    <div className="readings">
      {fields.map((field) => (
        <MatLengthField
          key={field}
          label={matWords[field]}
          hint={matWords.printedHint(field, lengths === 'mm')}
          value={shoot.mat[field]}
          display={lengths}
          problem={(mm) =>
            readingProblems({ ...withKey(shoot.mat, 'span', undefined), [field]: mm }, mat, lengths).find(
              (problem) => problem.field === field,
            )?.message
          }
          onValue={(mm) =>
            edit(matWords.changes[field], (before) => ({ ...before, mat: withKey(before.mat, field, mm) }), field)
          }
        />
      ))}
    </div>
  );
}
