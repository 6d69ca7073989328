import { useId, useState } from 'react';
import { nominalSpan, printedScale, readingProblems, widestSpan } from '../../mat/readings.ts';
import type { PaperName } from '../../mat/tile.ts';
import { formatLength, type LengthDisplay } from '../../plan/lengths/length_text.ts';
import { useBuild } from '../session/app_context.tsx';
import { SpanDrawing } from '../kit/drawings/mat_drawings.tsx';
import { MatLengthField } from '../fields/mat_length_field.tsx';
import { useShootEdit, withKey } from './mat_readings_edit.ts';
import { MatStep } from './mat_step.tsx';
import { matWords } from '../words/mat_words.ts';

type Tags = { fromTag: number; toTag: number };

/** The tape over the whole mat: between which two tags, and what it read. */
export function MatSpan({ mat }: { mat: { paper: PaperName; tiles: number } }) {
  const { lengths, shoot } = useBuild().history.present;
  const put = usePutSpan();
  const { span } = shoot.mat;
  const [chosen, choose] = useState<Tags>();
  const tags = chosen ?? span ?? widestSpan(mat.tiles);
  const nominal = nominalSpan(tags, mat.paper, printedScale(shoot.mat, true));
  const setTag = (end: keyof Tags, id: number) => {
    const next = { ...tags, [end]: id };
    choose(next);
    if (span && nominalSpan(next, mat.paper) !== undefined) put(next, span.length);
  };
  const problem = (length: number) => {
    const readings = { ...shoot.mat, span: { fromTag: tags.fromTag, toTag: tags.toTag, length } };
    return readingProblems(readings, mat, lengths).find(({ field }) => field === 'span')?.message;
  };
  const say = matWords;
  return (
    <MatStep
      title={say.steps.span.title}
      says={say.steps.span.says(tags.fromTag, tags.toTag)}
      drawing={<SpanDrawing />}
    >
      <MatLengthField
        label={say.span}
        {...(nominal === undefined
          ? {}
          : {
              hint: say.spanHint(formatLength(nominal, lengths, { mmDecimals: 0, inchDecimals: 1, denominator: 16 })),
            })}
        value={span?.length}
        display={lengths}
        problem={problem}
        onValue={(length) => put(tags, length)}
      />
      {span && (
        <ReadAgain
          again={span.again ?? []}
          display={lengths}
          problem={problem}
          onAgain={(again) => put(tags, span.length, again)}
        />
      )}
      <details>
        <summary>{say.spanOther}</summary>
        <div className="readings">
          <TagField label={say.fromTag} value={tags.fromTag} onValue={(id) => setTag('fromTag', id)} />
          <TagField label={say.toTag} value={tags.toTag} onValue={(id) => setTag('toTag', id)} />
        </div>
        {nominal === undefined && <p className="reading-wrong">{say.spanOneRow}</p>}
      </details>
    </MatStep>
  );
}

/** Puts what the tape read into the build, with the readings after it; takes it out where it read nothing. */
function usePutSpan(): (tags: Tags, length: number | undefined, again?: readonly number[]) => void {
  const before = useBuild().history.present.shoot.mat.span?.again ?? [];
  const edit = useShootEdit();
  return ({ fromTag, toTag }, length, again = before) =>
    edit(
      matWords.changes.span,
      (shoot) => ({
        ...shoot,
        mat: withKey(
          shoot.mat,
          'span',
          length === undefined ? undefined : { fromTag, toTag, length, ...(again.length > 0 && { again: [...again] }) },
        ),
      }),
      'span',
    );
}

/** The same span read a second and a third time. */
function ReadAgain({
  again,
  display,
  problem,
  onAgain,
}: {
  again: readonly number[];
  display: LengthDisplay;
  problem: (length: number) => string | undefined;
  onAgain: (again: number[]) => void;
}) {
  // Typing must not fold it up.
  const [startsOpen] = useState(again.length > 0);
  return (
    <details open={startsOpen}>
      <summary>{matWords.readAgain}</summary>
      {[0, ...again].slice(0, 2).map((_, i) => (
        <MatLengthField
          key={i === 0 ? 'second' : 'third'}
          label={matWords.spanAgain(i + 2)}
          hint={matWords.spanAgainHint}
          value={again[i]}
          display={display}
          problem={problem}
          onValue={(length) => onAgain(length === undefined ? again.toSpliced(i, 1) : again.toSpliced(i, 1, length))}
        />
      ))}
    </details>
  );
}

/** The number printed beside a tag. */
function TagField({ label, value, onValue }: { label: string; value: number; onValue: (id: number) => void }) {
  const id = useId();
  const [text, setText] = useState<string>();
  const wrong = text !== undefined && !/^\d{1,3}$/.test(text.trim());
  return (
    <div className="reading">
      <label htmlFor={id}>{label}</label>
      <input
        id={id}
        type="text"
        inputMode="numeric"
        autoComplete="off"
        value={text ?? String(value)}
        aria-invalid={wrong}
        aria-describedby={`${id}-wrong`}
        onChange={(event) => {
          const typed = event.target.value;
          setText(typed);
          if (/^\d{1,3}$/.test(typed.trim())) onValue(Number(typed));
        }}
        onBlur={() => !wrong && setText(undefined)}
      />
      <p id={`${id}-wrong`} className="reading-wrong" aria-live="polite">
        {wrong && matWords.notATag}
      </p>
    </div>
  );
}
