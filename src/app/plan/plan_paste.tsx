import { formatLength, type LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { ListChoices, ListQuestion } from '../../plan/lists/list_questions.ts';
import { type ListContext, type PastedLine, readPastedList } from '../../plan/lists/pasted_list.ts';
import { planStart } from '../../plan/plan.ts';
import type { BuildDocument } from '../../store/build.ts';
import { type FoundPlace, kindOfLabel, withWritten } from '../edits/plan_edits.ts';
import { unitOf } from '../edits/plan_reading.ts';
import { Choices } from '../kit/choices.tsx';
import { useApp, useBuild } from '../session/app_context.tsx';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';
import { kindWords } from '../words/sign_words.ts';
import { UsePlaces } from './plan_use_places.tsx';

const textName = 'paste.text';
const answerName = (about: keyof ListChoices) => `paste.${about}`;
const abouts: readonly (keyof ListChoices)[] = ['comma', 'from', 'numbers'];

/** A list as people have it, with how each line was read standing beside it before anything is taken over. */
export function PlanPaste() {
  const { actions } = useApp();
  const document = useBuild().history.present;
  const { written } = document;
  const text = written?.[textName]?.text ?? '';
  const choices = choicesIn(document);
  const context = contextOf(document);
  const { lines: read, questions } = readPastedList(text, { ...context, choices });
  // an answered question stays in sight, so that the answer can be changed
  const asked = [...questions, ...readPastedList(text, context).questions];
  const shown = abouts.flatMap((about) => asked.find((question) => question.about === about) ?? []);
  const lines = named(read);
  const problems = lines.filter(({ line }) => line.outcome === 'problem').length;
  const places = lines.flatMap(({ line, name }): FoundPlace[] =>
    line.outcome === 'position' ? [{ at: line.mm, kind: line.kind ?? kindOfLabel(line.label), id: name }] : [],
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
            actions.edit(changeWords.field(planWords.paste), (before) => withText(before, typed), textName);
          }}
        />
      </label>
      <p className="hint">{planWords.pasteHelp}</p>
      {text.trim() !== '' && (
        <>
          {shown.map((question) => (
            <Question key={question.about} question={question} answer={choices[question.about]} />
          ))}
          <h3>{planWords.pasteRead}</h3>
          <LinesRead lines={lines} />
          {problems > 0 && <p className="field-why">{planWords.pasteProblems(problems)}</p>}
          {questions.length > 0 && <p className="field-why">{planWords.pasteOpen}</p>}
        </>
      )}
      <UsePlaces places={places} disabled={problems > 0 || questions.length > 0} />
    </>
  );
}

/** Each line as it was read, what was written beside it. */
function LinesRead({ lines }: { lines: readonly NamedLine[] }) {
  const { lengths } = useBuild().history.present;
  return (
    <ol className="paste-lines">
      {lines.map(({ line, name }) =>
        line.outcome === 'empty' ? null : (
          <li key={line.line} className={line.outcome === 'problem' ? 'paste-problem' : undefined}>
            <span className="paste-line">{planWords.pasteLine(line.line)}</span>
            <span>
              {said(line, name, lengths)}
              <span className="paste-text">{line.text.trim()}</span>
            </span>
          </li>
        ),
      )}
    </ol>
  );
}

function said(line: PastedLine, name: string, lengths: LengthDisplay): string {
  if (line.outcome === 'problem') return `${line.why.charAt(0).toUpperCase()}${line.why.slice(1)}.`;
  if (line.outcome !== 'position') return planWords.pasteHeading;
  const length = (mm: number) => formatLength(mm, lengths, { mmDecimals: 1, denominator: 64 });
  const kind = kindWords[line.kind ?? kindOfLabel(line.label)];
  const place = planWords.pastePosition(name, kind, length(line.mm));
  const counted = line.counted ? `, ${planWords.pasteCounted[line.counted.as](length(line.counted.written))}` : '';
  return `${place}${counted}${line.note === undefined ? '' : ` (${planWords.pasteNote(line.note)})`}`;
}

function Question({ question, answer }: { question: ListQuestion; answer: string | undefined }) {
  const { actions } = useApp();
  return (
    <div className="paste-question">
      <p>{question.text}</p>
      <Choices
        legend={question.text}
        choices={question.answers.map(({ value, text }) => ({ value: value as string, label: text }))}
        value={answer ?? ''}
        onValue={(value) =>
          actions.edit(changeWords.field(planWords.paste), (document) =>
            withWritten(document, answerName(question.about), { text: value }),
          )
        }
      />
    </div>
  );
}

/** A new text is a new list: what was answered for the old one says nothing about it. */
const withText = (document: BuildDocument, text: string): BuildDocument =>
  withWritten(
    abouts.reduce((before, about) => withWritten(before, answerName(about), undefined), document),
    textName,
    text === '' ? undefined : { text },
  );

const choicesIn = ({ written = {} }: BuildDocument): ListChoices =>
  Object.fromEntries(
    abouts.flatMap((about) => (written[answerName(about)] ? [[about, written[answerName(about)]!.text]] : [])),
  );

function contextOf({ plan, lengths }: BuildDocument): ListContext {
  const start = planStart(plan);
  const ferrule = plan.section && start > 0 ? start : plan.fittings?.find(({ kind }) => kind === 'ferrule')?.from;
  return {
    unit: unitOf(lengths),
    ...(plan.blank.length > 0 && { end: start + plan.blank.length }),
    ...(ferrule !== undefined && { ferrule }),
  };
}

interface NamedLine {
  line: PastedLine;
  name: string;
}

/**
 * Each line with the name its place will have: its own, or G1, G2 in turn from the tip. A name that stands twice is a
 * problem.
 */
function named(lines: readonly PastedLine[]): NamedLine[] {
  const unnamed = lines
    .flatMap((line) => (line.outcome === 'position' && line.label === undefined ? [line] : []))
    .toSorted((a, b) => a.mm - b.mm);
  const taken = new Set<string>();
  return lines.map((line) => {
    if (line.outcome !== 'position') return { line, name: '' };
    const name = line.label === undefined ? `G${unnamed.findIndex((one) => one === line) + 1}` : nameOf(line.label);
    const twice = taken.has(name);
    taken.add(name);
    if (!twice) return { line, name };
    return { line: { line: line.line, text: line.text, outcome: 'problem', why: planWords.pasteTwice(name) }, name };
  });
}

/** A bare number is a count, not a name: 3 becomes G3. */
const nameOf = (label: string): string => (/^\d+$/.test(label) ? `G${label}` : label);
