import type { KeptLens } from '../../store/kept_profile.ts';
import { ThrowAway } from '../kit/throw_away.tsx';
import { useApp } from '../session/app_context.tsx';
import { lensWords } from '../words/lens_words.ts';

const day = new Intl.DateTimeFormat(undefined, { dateStyle: 'medium' });

/** One camera's lens: its name to change, what it was made from, and the ways to save it or throw it away. */
export function KeptLensRow({ lens, onChange }: { lens: KeptLens; onChange: () => void }) {
  const { actions } = useApp();
  const { name, camera, photos, corner, madeAt } = lens;
  const rename = (wanted: string) => {
    const plain = wanted.trim();
    if (plain !== '' && plain !== name) void actions.renameLens(lens, plain).then(onChange);
  };
  return (
    <li>
      <label>
        <span className="spoken">{lensWords.nameOf(name)}</span>
        <input
          key={name}
          type="text"
          defaultValue={name}
          maxLength={200}
          onBlur={(event) => {
            if (event.currentTarget.value.trim() === '') event.currentTarget.value = name;
            rename(event.currentTarget.value);
          }}
          onKeyDown={(event) => {
            if (event.key === 'Enter') event.currentTarget.blur();
          }}
        />
      </label>
      {camera !== name && <p>{camera}</p>}
      <p className="hint">
        {lensWords.from(photos, corner.toFixed(2), madeAt === undefined ? undefined : day.format(new Date(madeAt)))}
      </p>
      <div className="ways">
        <button type="button" className="quiet" onClick={() => actions.saveLens(lens)}>
          {lensWords.save}
        </button>
        <ThrowAway name={name} words={lensWords} onYes={() => void actions.removeLens(lens).then(onChange)} />
      </div>
    </li>
  );
}
