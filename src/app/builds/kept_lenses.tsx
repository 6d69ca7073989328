import { useCallback, useEffect, useRef, useState } from 'react';
import type { KeptLens } from '../../store/kept_profile.ts';
import { FileButton } from '../kit/file_button.tsx';
import { Fold } from '../kit/fold.tsx';
import { KeptRow } from '../kit/kept_row.tsx';
import { useApp } from '../session/app_context.tsx';
import { lensWords } from '../words/lens_words.ts';

/** Some systems hide HEIC among images. */
const photos = 'image/*,.heic,.heif';

const day = new Intl.DateTimeFormat(undefined, { dateStyle: 'medium' });

const factsOf = ({ name, camera, photos: count, corner, madeAt }: KeptLens): string[] => [
  ...(camera === name ? [] : [camera]),
  lensWords.from(count, corner.toFixed(2), madeAt === undefined ? undefined : day.format(new Date(madeAt))),
];

/** The lenses of the builder's cameras: made from photos of the mat, named, saved, thrown away. */
export function KeptLenses() {
  return (
    <section aria-label={lensWords.title}>
      <Fold title={lensWords.title}>
        <Lenses />
      </Fold>
    </section>
  );
}

function Lenses() {
  const { actions } = useApp();
  const [lenses, setLenses] = useState<KeptLens[]>();
  const [doing, setDoing] = useState('');
  const [said, setSaid] = useState<string[]>([]);
  const stop = useRef<AbortController>(undefined);
  const look = useCallback(() => void actions.lenses().then(setLenses), [actions]);
  useEffect(() => {
    look();
    return () => stop.current?.abort();
  }, [look]);

  const make = async (files: File[]) => {
    const controller = new AbortController();
    stop.current = controller;
    setSaid([]);
    setDoing(lensWords.making(lensWords.make, 0));
    const made = await actions.makeLens(
      files,
      ({ stage, done }) => setDoing(lensWords.making(stage, Math.round(100 * done))),
      controller.signal,
    );
    setDoing('');
    if (made) setSaid([lensWords.made(made.lens.name), ...made.sentences]);
    look();
  };

  return (
    <>
      <p>{lensWords.says}</p>
      <div className="ways">
        {doing === '' ? (
          <>
            <FileButton accept={photos} onFiles={(files) => void make(files)}>
              {lensWords.make}
            </FileButton>
            <FileButton accept=".json" multiple={false} onFiles={([file]) => void actions.openLens(file!).then(look)}>
              {lensWords.open}
            </FileButton>
          </>
        ) : (
          <button type="button" onClick={() => stop.current?.abort()}>
            {lensWords.stop}
          </button>
        )}
      </div>
      <p role="status">{doing || said.join(' ')}</p>
      {lenses?.length === 0 && <p className="hint">{lensWords.none}</p>}
      {lenses && lenses.length > 0 && <LensRows lenses={lenses} onChange={look} />}
    </>
  );
}

function LensRows({ lenses, onChange }: { lenses: readonly KeptLens[]; onChange: () => void }) {
  const { actions } = useApp();
  return (
    <ul className="kept-rows">
      {lenses.map((lens) => (
        <KeptRow
          key={lens.camera}
          name={lens.name}
          facts={factsOf(lens)}
          words={lensWords}
          onName={(name) => void actions.renameLens(lens, name).then(onChange)}
          onSave={() => actions.saveLens(lens)}
          onRemove={() => void actions.removeLens(lens).then(onChange)}
        />
      ))}
    </ul>
  );
}
