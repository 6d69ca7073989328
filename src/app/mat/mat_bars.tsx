import { readingProblems } from '../../mat/readings.ts';
import type { PaperName } from '../../mat/tile.ts';
import { useBuild } from '../session/app_context.tsx';
import { MatLengthField } from '../fields/mat_length_field.tsx';
import { useShootEdit, withKey } from './mat_readings_edit.ts';
import { matWords } from '../words/mat_words.ts';

/** The two check bars as they were measured. */
export function MatBars({ mat }: { mat: { paper: PaperName; tiles: number } }) {
  const { lengths, shoot } = useBuild().history.present;
  const edit = useShootEdit();
  return (
    <div className="readings">
      {(['barAlong', 'barAcross'] as const).map((bar) => (
        <MatLengthField
          key={bar}
          label={matWords[bar]}
          hint={lengths === 'mm' ? matWords.barHint : matWords.barHintInches}
          value={shoot.mat[bar]}
          display={lengths}
          problem={(mm) =>
            readingProblems({ ...withKey(shoot.mat, 'span', undefined), [bar]: mm }, mat, lengths).find(
              ({ field }) => field === bar,
            )?.message
          }
          onValue={(mm) =>
            edit(matWords.changes[bar], (before) => ({ ...before, mat: withKey(before.mat, bar, mm) }), bar)
          }
        />
      ))}
    </div>
  );
}
