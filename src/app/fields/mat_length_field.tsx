import { useId, useState } from 'react';
import { type LengthDisplay, lengthDigits, readLength } from '../../plan/lengths/length_text.ts';
import { matWords } from '../words/mat_words.ts';

interface Draft {
  text: string;
  /** what the text was taken as when it was typed; undefined when it was not taken */
  value: number | undefined;
}

interface MatLength {
  label: string;
  hint?: string;
  /** mm */
  value: number | undefined;
  display: LengthDisplay;
  /** one sentence on what is wrong with a length (mm) */
  problem: (mm: number) => string | undefined;
  /** mm; undefined when the field holds none that can be used */
  onValue: (mm: number | undefined) => void;
}

/**
 * A length as the builder types it, in their unit or with a unit written behind. What can't be, or can't be read, is
 * not handed on: the field keeps the text and says what is wrong when it is left.
 */
export function MatLengthField({ label, hint, value, display, problem, onValue }: MatLength) {
  const id = useId();
  const [draft, setDraft] = useState<Draft>();
  const [typing, setTyping] = useState(false);
  // fractions of an inch are too coarse for these: decimals stand for both
  const unit = display === 'mm' ? 'mm' : 'in';
  // taken back or changed elsewhere, the text no longer says what is kept
  const current = draft && draft.value === value ? draft : undefined;
  const text = current?.text ?? (value === undefined ? '' : shortest(lengthDigits(value, unit, detail)));
  const write = (typed: string) => {
    const { mm, wrong: no } = read(typed, unit, problem);
    const taken = no === undefined ? mm : undefined;
    setDraft({ text: typed, value: taken });
    if (taken !== value) onValue(taken);
  };
  const { wrong } = read(text, unit, problem);
  const shown = typing ? undefined : wrong;
  return (
    <div className="reading">
      <label htmlFor={id}>{label}</label>
      <div className="reading-entry">
        <input
          id={id}
          type="text"
          inputMode={unit === 'mm' ? 'decimal' : 'text'}
          autoComplete="off"
          value={text}
          aria-invalid={shown !== undefined}
          aria-describedby={`${id}-hint ${id}-wrong`}
          onFocus={() => setTyping(true)}
          onBlur={() => setTyping(false)}
          onChange={(event) => write(event.target.value)}
        />
        <span>{unit}</span>
      </div>
      <p id={`${id}-hint`} className="hint">
        {hint}
      </p>
      <p id={`${id}-wrong`} className="reading-wrong" aria-live="polite">
        {shown !== undefined && (value === undefined ? `${shown} ${matWords.notUsed}` : shown)}
      </p>
    </div>
  );
}

/** The length a text says, mm, and what is wrong with it. */
function read(
  typed: string,
  unit: 'mm' | 'in',
  problem: (mm: number) => string | undefined,
): { mm?: number; wrong?: string } {
  if (typed.trim() === '') return {};
  const reading = readLength(typed, unit);
  if (!reading.ok) return { wrong: matWords.notALength(reading.why) };
  const wrong = problem(reading.mm);
  return { mm: reading.mm, ...(wrong === undefined ? {} : { wrong }) };
}

const detail = { mmDecimals: 2, inchDecimals: 4 };

const shortest = (digits: string): string => (digits.includes('.') ? digits.replace(/\.?0+$/, '') : digits);
