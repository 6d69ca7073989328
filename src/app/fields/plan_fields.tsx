import { type ReactNode, useId } from 'react';
import { useApp, useBuild } from '../session/app_context.tsx';
import { type Edit, withWritten } from '../edits/plan_edits.ts';
import {
  type FieldLimits,
  type FieldReading,
  lengthInField,
  readForceField,
  readLengthField,
  readNumberField,
  shownInField,
} from '../edits/plan_reading.ts';
import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { BuildDocument } from '../../store/build.ts';
import { changeWords } from '../words/changes_words.ts';

interface FieldProps extends FieldLimits {
  /** names the field in what is kept as typed */
  name: string;
  label: string;
  /** what the plan has; a field without a plan's value keeps its own */
  value?: number | undefined;
  /** puts a value that was read into the plan; undefined when an optional field was emptied */
  set?: (document: BuildDocument, value: number | undefined) => BuildDocument;
  hint?: string;
  /** the label is for screen readers only: a heading stands over the column */
  bare?: boolean;
}

/** A length in the builder's unit, or in the one that such things are sold in; kept as it was typed. */
export function LengthField({ sold, ...props }: FieldProps & { sold?: LengthDisplay }) {
  const { lengths: own } = useBuild().history.present;
  const lengths = sold ?? own;
  return (
    <ReadField
      {...props}
      unit={lengths === 'mm' ? 'mm' : 'in'}
      read={(text) => readLengthField(text, lengths, props)}
      format={(mm) => lengthInField(mm, lengths)}
    />
  );
}

/** A weight in grams; another unit is read where it is written. */
export function ForceField(props: FieldProps) {
  return (
    <ReadField
      {...props}
      unit="g"
      read={(text) => readForceField(text, props)}
      format={(grams) => String(Number(grams.toFixed(1)))}
    />
  );
}

/** A plain number: degrees, a count. */
export function NumberField({ whole = false, ...props }: FieldProps & { whole?: boolean }) {
  return <ReadField {...props} read={(text) => readNumberField(text, props, whole)} format={String} />;
}

function ReadField({
  name,
  label,
  value,
  set,
  hint,
  bare = false,
  unit,
  read,
  format,
}: FieldProps & { unit?: string; read: (text: string) => FieldReading; format: (value: number) => string }) {
  const { actions } = useApp();
  const { written } = useBuild().history.present;
  const kept = written?.[name];
  const { text, why } = shownInField(kept, set ? value : (kept?.value ?? value), read, format);
  const write = (typed: string) => {
    const reading = read(typed);
    const edit: Edit = (document) => {
      const next = reading.ok && set ? set(document, reading.value) : document;
      if (reading.ok && reading.value === undefined) return withWritten(next, name, undefined);
      return withWritten(next, name, { text: typed, ...(reading.ok && { value: reading.value! }) });
    };
    actions.edit(changeWords.field(label), edit, name);
  };
  return (
    <Field label={label} bare={bare} why={why} hint={hint} unit={unit}>
      {(aria) => (
        <input
          {...aria}
          inputMode={unit === 'in' || unit === 'g' ? 'text' : 'decimal'}
          autoComplete="off"
          value={text}
          onChange={(event) => write(event.target.value)}
        />
      )}
    </Field>
  );
}

/** A line of text. */
export function TextField({
  label,
  value,
  onChange,
  why,
  bare = false,
}: {
  label: string;
  value: string;
  onChange: (text: string) => void;
  why?: string | undefined;
  bare?: boolean;
}) {
  return (
    <Field label={label} bare={bare} why={why}>
      {(aria) => (
        <input {...aria} autoComplete="off" value={value} onChange={(event) => onChange(event.target.value)} />
      )}
    </Field>
  );
}

/** One of a few names. */
export function ChoiceField<T extends string>({
  label,
  value,
  names,
  onChange,
  bare = false,
}: {
  label: string;
  value: T;
  names: Record<T, string>;
  onChange: (value: T) => void;
  bare?: boolean;
}) {
  return (
    <Field label={label} bare={bare}>
      {(aria) => (
        <select {...aria} value={value} onChange={(event) => onChange(event.target.value as T)}>
          {(Object.keys(names) as T[]).map((name) => (
            <option key={name} value={name}>
              {names[name]}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}

function Field({
  label,
  bare,
  why,
  hint,
  unit,
  children,
}: {
  label: string;
  bare: boolean;
  why?: string | undefined;
  hint?: string | undefined;
  unit?: string | undefined;
  children: (aria: { id: string; 'aria-invalid'?: true; 'aria-describedby'?: string }) => ReactNode;
}) {
  const id = useId();
  const said = why ?? hint;
  return (
    <div className={why ? 'field field-wrong' : 'field'}>
      <label htmlFor={id} className={bare ? 'spoken' : undefined}>
        {label}
        {unit && <span className="field-unit"> ({unit})</span>}
      </label>
      {children({ id, ...(why && { 'aria-invalid': true }), ...(said && { 'aria-describedby': `${id}-says` }) })}
      {said && (
        <p id={`${id}-says`} className={why ? 'field-why' : 'hint'}>
          {said}
        </p>
      )}
    </div>
  );
}

/** A choice that is kept beside the plan under its name; the first one until something is chosen. */
export function useKeptChoice<T extends string>(name: string, choices: readonly T[]): [T, (value: T) => void] {
  const { actions } = useApp();
  const kept = useBuild().history.present.written?.[name]?.text;
  const value = choices.find((choice) => choice === kept) ?? choices[0]!;
  return [
    value,
    (chosen) => actions.edit(changeWords.choice, (document) => withWritten(document, name, { text: chosen }), name),
  ];
}

/** What was read from a field that is kept beside the plan. */
export const useKeptValues = (): ((name: string) => number | undefined) => {
  const { written } = useBuild().history.present;
  return (name) => written?.[name]?.value;
};
