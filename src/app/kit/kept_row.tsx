import { ThrowAway, type ThrowAwayWords } from './throw_away.tsx';

/** What a row of something kept says. */
export interface KeptRowWords extends ThrowAwayWords {
  nameOf: (name: string) => string;
  save: string;
}

/** One thing that is kept for all builds: its name to change, what it is, and the ways to save it or throw it away. */
export function KeptRow({
  name,
  facts,
  words,
  onName,
  onSave,
  onRemove,
}: {
  name: string;
  facts: readonly string[];
  words: KeptRowWords;
  onName: (name: string) => void;
  onSave: () => void;
  onRemove: () => void;
}) {
  return (
    <li>
      <label>
        <span className="spoken">{words.nameOf(name)}</span>
        <input
          key={name}
          type="text"
          defaultValue={name}
          maxLength={200}
          onBlur={(event) => {
            const plain = event.currentTarget.value.trim();
            if (plain === '') event.currentTarget.value = name;
            else if (plain !== name) onName(plain);
          }}
          onKeyDown={(event) => {
            if (event.key === 'Enter') event.currentTarget.blur();
          }}
        />
      </label>
      {facts.map((fact) => (
        <p key={fact} className="hint">
          {fact}
        </p>
      ))}
      <div className="ways">
        <button type="button" className="quiet" onClick={onSave}>
          {words.save}
        </button>
        <ThrowAway name={name} words={words} onYes={onRemove} />
      </div>
    </li>
  );
}
