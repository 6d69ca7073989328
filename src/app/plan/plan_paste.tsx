import { formatLength } from '../../plan/lengths/length_text.ts';
import { type PastedLine, readPastedList } from '../../plan/lengths/pasted_list.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { type FoundPlace, kindOfLabel, withWritten } from '../edits/plan_edits.ts';
import { unitOf } from '../edits/plan_reading.ts';
import { UsePlaces } from './plan_use_places.tsx';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';
import { kindWords } from '../words/sign_words.ts';

const textName = 'paste.text';

/** A list as people have it, with how each line was read standing beside it before anything is taken over. */
export function PlanPaste() {
  const { actions } = useApp();
  const { lengths, written } = useBuild().history.present;
  const text = written?.[textName]?.text ?? '';
  const lines = named(readPastedList(text, unitOf(lengths)));
  const problems = lines.filter(({ line }) => line.outcome === 'problem').length;
  const places = lines.flatMap(({ line, name }): FoundPlace[] =>
    line.outcome === 'position' ? [{ at: line.mm, kind: kindOfLabel(line.label), id: name }] : [],
  );
  return (
    <>
      <label className="field">
        {planWords.pasteLabel}
        <textarea
          rows={6}
          value={text}
          spellCheck={false}
          onChange={(event) => {
            const typed = event.target.value;
            actions.edit(
              changeWords.field(planWords.paste),
              (document) => withWritten(document, textName, typed === '' ? undefined : { text: typed }),
              textName,
            );
          }}
        />
      </label>
      <p className="hint">{planWords.pasteHelp}</p>
      {text.trim() !== '' && (
        <>
          <h3>{planWords.pasteRead}</h3>
          <ol className="paste-lines">
            {lines.map(({ line, name }) =>
              line.outcome === 'empty' ? null : (
                <li key={line.line} className={line.outcome === 'problem' ? 'paste-problem' : undefined}>
                  <span className="paste-line">{planWords.pasteLine(line.line)}</span>
                  <span>
                    {said(line, name)}
                    <span className="paste-text">{line.text.trim()}</span>
                  </span>
                </li>
              ),
            )}
          </ol>
          {problems > 0 && <p className="field-why">{planWords.pasteProblems(problems)}</p>}
        </>
      )}
      <UsePlaces places={places} disabled={problems > 0} />
    </>
  );

  function said(line: PastedLine, name: string): string {
    if (line.outcome === 'problem') return `${line.why.charAt(0).toUpperCase()}${line.why.slice(1)}.`;
    if (line.outcome !== 'position') return planWords.pasteHeading;
    const at = formatLength(line.mm, lengths, { mmDecimals: 1, denominator: 64 });
    const place = planWords.pastePosition(name, kindWords[kindOfLabel(line.label)], at);
    return line.note === undefined ? place : `${place} (${planWords.pasteNote(line.note)})`;
  }
}

/** Each line with the name its place will have: its own, or G1, G2 in turn. A name that stands twice is a problem. */
function named(lines: readonly PastedLine[]): { line: PastedLine; name: string }[] {
  const taken = new Set<string>();
  let unnamed = 0;
  return lines.map((line) => {
    if (line.outcome !== 'position') return { line, name: '' };
    const name = line.label === undefined ? `G${++unnamed}` : nameOf(line.label);
    const twice = taken.has(name);
    taken.add(name);
    if (!twice) return { line, name };
    return { line: { line: line.line, text: line.text, outcome: 'problem', why: planWords.pasteTwice(name) }, name };
  });
}

/** A bare number is a count, not a name: 3 becomes G3. */
const nameOf = (label: string): string => (/^\d+$/.test(label) ? `G${label}` : label);
