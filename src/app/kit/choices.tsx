import { type ReactNode, useId } from 'react';

/** One of a few things to choose, each with its drawing where there is one. */
export interface Choice<T extends string> {
  value: T;
  label: string;
  hint?: string;
  drawing?: ReactNode;
}

/** A choice among a few, all of them in sight. */
export function Choices<T extends string>({
  legend,
  choices,
  value,
  onValue,
}: {
  legend: string;
  choices: readonly Choice<T>[];
  value: T;
  onValue: (value: T) => void;
}) {
  const name = useId();
  return (
    <fieldset className="choices">
      <legend className="spoken">{legend}</legend>
      {choices.map((choice) => (
        <label key={choice.value} className="choice">
          <input
            type="radio"
            name={name}
            checked={choice.value === value}
            onChange={() => onValue(choice.value)}
            aria-describedby={choice.hint === undefined ? undefined : `${name}-${choice.value}`}
          />
          <span className="choice-words">
            <span>{choice.label}</span>
            {choice.hint !== undefined && (
              <span id={`${name}-${choice.value}`} className="hint">
                {choice.hint}
              </span>
            )}
          </span>
          {choice.drawing}
        </label>
      ))}
    </fieldset>
  );
}
