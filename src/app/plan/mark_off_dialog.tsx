import { type CSSProperties, useEffect, useRef, useState } from 'react';
import { type MarkStep, nextStep } from '../../plan/bench/mark_steps.ts';
import { datumWords } from '../../plan/layouts/mark_list.ts';
import { formatLength } from '../../plan/lengths/length_text.ts';
import { readingText } from '../../plan/lengths/tape_reading.ts';
import { useScreenAwake } from '../kit/use_screen_awake.ts';
import { benchWords } from '../words/bench_words.ts';
import { planWords } from '../words/plan_words.ts';
import { kindWords } from '../words/sign_words.ts';

/** A wet screen tells one touch several times: those that follow sooner are the same, ms. */
const sameTouch = 400;

interface Marking {
  steps: readonly MarkStep[];
  done: ReadonlySet<string>;
  onMark: (key: string, id: string) => void;
  onUnmark: (key: string, id: string) => void;
}

/** Which step is shown, and what a touch, a step back and a choice from the list do to it. */
function useMarking({ steps, done, onMark, onUnmark }: Marking) {
  const lastTouch = useRef(Number.NEGATIVE_INFINITY);
  const [chosen, setChosen] = useState<number | undefined>(() => nextStep(steps, done));
  const [says, setSays] = useState('');
  const choose = (to: number | undefined, said = '') => {
    setSays(said);
    setChosen(to);
  };
  const touch = ({ timeStamp }: { timeStamp: number }) => {
    const step = chosen === undefined ? undefined : steps[chosen];
    if (!step || timeStamp - lastTouch.current < sameTouch) return;
    lastTouch.current = timeStamp;
    if (!done.has(step.key)) onMark(step.key, step.row.id);
    choose(nextStep(steps, new Set([...done, step.key]), chosen), benchWords.marked(step.row.id));
  };
  const back = () => {
    const to = chosen === undefined ? steps.length - 1 : chosen - 1;
    const before = steps[to];
    if (!before) return;
    if (done.has(before.key)) onUnmark(before.key, before.row.id);
    choose(to);
  };
  return { chosen, says, choose, touch, back };
}

/**
 * Marking off over the whole screen: one place at a time, its tape reading in figures that are read from two metres.
 * Any touch of the large field, however short or smeared, or space, takes the place as marked and goes on.
 */
export function MarkOffDialog({ onAnew, onClose, ...marking }: Marking & { onAnew: () => void; onClose: () => void }) {
  const { steps, done } = marking;
  const dialog = useRef<HTMLDialogElement>(null);
  const field = useRef<HTMLButtonElement>(null);
  const { chosen, says, choose, touch, back } = useMarking(marking);
  const awake = useScreenAwake();
  const step = chosen === undefined ? undefined : steps[chosen];

  useEffect(() => {
    dialog.current?.showModal();
  }, []);
  // space goes on marking, wherever the step was chosen
  useEffect(() => field.current?.focus(), [chosen]);

  return (
    <dialog ref={dialog} className="whole-screen mark-off" aria-label={benchWords.title} onClose={onClose}>
      <header className="mark-off-top">
        <p role="status">
          {benchWords.progress(steps.filter(({ key }) => done.has(key)).length, steps.length)}{' '}
          <span className="spoken">{says}</span>
        </p>
        <button type="button" onClick={back} disabled={chosen === 0}>
          {benchWords.back}
        </button>
        <button type="button" onClick={() => dialog.current?.close()}>
          {benchWords.close}
        </button>
      </header>
      {step ? (
        <button
          ref={field}
          type="button"
          className="mark-off-field"
          onPointerUp={touch}
          // a keyboard's or a screen reader's click has no pointer before it
          onClick={(event) => event.detail === 0 && touch(event)}
        >
          <StepFigures step={step} several={steps.at(-1)!.list !== steps[0]!.list} isDone={done.has(step.key)} />
        </button>
      ) : (
        <div className="mark-off-field">
          <p>{benchWords.allDone(steps.length)}</p>
          <button
            type="button"
            onClick={() => {
              onAnew();
              choose(0);
            }}
          >
            {benchWords.anew}
          </button>
        </div>
      )}
      <footer className="mark-off-list">
        <p className="hint">{awake ? benchWords.awake : benchWords.asleep}</p>
        <StepChips steps={steps} done={done} chosen={chosen} onChoose={choose} />
      </footer>
    </dialog>
  );
}

/** All places in a row, those marked struck through; one that is touched is shown above. */
function StepChips({
  steps,
  done,
  chosen,
  onChoose,
}: Pick<Marking, 'steps' | 'done'> & { chosen: number | undefined; onChoose: (step: number) => void }) {
  const here = useRef<HTMLButtonElement>(null);
  useEffect(() => here.current?.scrollIntoView({ block: 'nearest', inline: 'center' }), [chosen]);
  return (
    <ol aria-label={benchWords.list}>
      {steps.map(({ key, row, list }, k) => {
        const reading = readingText(row.reading, list.division);
        return (
          <li key={`${list.title} ${key}`}>
            <button
              ref={k === chosen ? here : undefined}
              type="button"
              className={done.has(key) ? 'mark-off-chip mark-off-done' : 'mark-off-chip'}
              aria-current={k === chosen ? 'step' : undefined}
              aria-label={benchWords.chip(row.id, reading, done.has(key))}
              onClick={() => onChoose(k)}
            >
              <strong>{row.id}</strong> {reading}
            </button>
          </li>
        );
      })}
    </ol>
  );
}

function StepFigures({
  step: { row, list, gap, after },
  several,
  isDone,
}: {
  step: MarkStep;
  /** there is a list for each piece */
  several: boolean;
  isDone: boolean;
}) {
  const [figures, unit] = splitUnit(readingText(row.reading, list.division));
  const [whole, fraction] = figures.includes('/') ? splitFraction(figures) : [figures, ''];
  // a fraction is set smaller than what stands before it
  const width = whole.length + 0.8 * fraction.length + (whole && fraction ? 0.3 : 0);
  const said = readingText(gap, list.division);
  const left = formatLength(Math.abs(row.left), list.division.endsWith('in') ? 'in' : 'mm', {
    mmDecimals: 2,
    inchDecimals: 3,
  });
  const ends = row.toward === 'butt' ? (['butt', 'tip'] as const) : (['tip', 'butt'] as const);
  return (
    <>
      <span className="mark-off-id">
        {row.id} <small>{kindWords[row.kind]}</small>
      </span>
      <span className="mark-off-at" style={{ '--figures': String(Math.max(width, 2)) } as CSSProperties}>
        {whole}
        {fraction && (
          <span className="mark-off-fraction">
            {whole && ' '}
            {fraction}
          </span>
        )}
        <small> {unit}</small>
      </span>
      <span>
        {several && `${list.title}, `}
        {datumWords(list)}
        {list.datum.from === 'ferrule' && `, ${planWords.toward(row.toward)}`}
        {Number.parseFloat(left) > 0 && ` · ${planWords.marksOff(left, row.left > 0 ? ends[0] : ends[1])}`}
      </span>
      <span className="mark-off-gap">
        {after === undefined ? benchWords.gapFirst(said) : benchWords.gap(said, after)}
      </span>
      <span>
        {row.ringOuter !== undefined && planWords.marksRing(formatLength(row.ringOuter, 'mm'))}
        {row.roll ? ` · ${planWords.marksRoll(row.roll)}` : ''}
      </span>
      <span className="hint">{isDone ? benchWords.isMarked : benchWords.tap}</span>
    </>
  );
}

const splitUnit = (text: string): [string, string] => {
  const at = text.lastIndexOf(' ');
  return [text.slice(0, at), text.slice(at + 1)];
};

const splitFraction = (figures: string): [string, string] => {
  const at = figures.lastIndexOf(' ');
  return [figures.slice(0, Math.max(at, 0)), figures.slice(at + 1)];
};
