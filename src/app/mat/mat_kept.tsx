import { useCallback, useEffect, useRef, useState } from 'react';
import { type KeptMat, readingsOf } from '../../store/kept_profile.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { Choices } from '../kit/choices.tsx';
import { FileButton } from '../kit/file_button.tsx';
import { Fold } from '../kit/fold.tsx';
import { KeptRow } from '../kit/kept_row.tsx';
import { keptMatWords as say } from '../words/kept_mat_words.ts';
import { withKey } from './mat_readings_edit.ts';
import { MatStep } from './mat_step.tsx';

const day = new Intl.DateTimeFormat(undefined, { dateStyle: 'medium' });
const today = () => day.format(new Date());
const factsOf = ({ pages, photos, madeAt }: KeptMat): string =>
  say.pages(pages, photos, madeAt === undefined ? undefined : day.format(new Date(madeAt)));

/** Whether the rod lies on a mat that was kept, which one, and keeping this one. */
export function MatKept() {
  const { actions } = useApp();
  const { keptMat } = useBuild().history.present;
  const [mats, setMats] = useState<KeptMat[]>([]);
  const look = useCallback(() => void actions.mats().then(setMats), [actions]);
  useEffect(look, [look]);

  const lieOn = (id: string | undefined) => {
    const mat = mats.find((one) => one.id === id);
    actions.edit(say.change, (document) => ({
      ...withKey(document, 'keptMat', mat?.id),
      // what was measured on it then stands for this shoot too
      shoot: mat ? { ...document.shoot, mat: { ...readingsOf(mat), ...document.shoot.mat } } : document.shoot,
    }));
  };

  return (
    <MatStep title={mats.length > 0 ? say.title : say.first} says={say.says}>
      {mats.length > 0 && (
        <Choices
          legend={say.choice}
          value={mats.some(({ id }) => id === keptMat) ? keptMat! : ''}
          choices={[
            { value: '', label: say.anew },
            ...mats.map((mat) => ({ value: mat.id, label: mat.name, hint: factsOf(mat) })),
          ]}
          onValue={(id) => lieOn(id === '' ? undefined : id)}
        />
      )}
      <KeepMat onChange={look} />
      {mats.length > 0 && (
        <Fold title={say.manage}>
          <ul className="kept-rows">
            {mats.map((mat) => (
              <KeptRow
                key={mat.id}
                name={mat.name}
                facts={[factsOf(mat)]}
                words={say}
                onName={(name) => void actions.renameMat(mat, name).then(look)}
                onSave={() => actions.saveMat(mat)}
                onRemove={() => {
                  if (mat.id === keptMat) lieOn(undefined);
                  void actions.removeMat(mat).then(look);
                }}
              />
            ))}
          </ul>
        </Fold>
      )}
    </MatStep>
  );
}

function KeepMat({ onChange }: { onChange: () => void }) {
  const { actions } = useApp();
  const { shoot } = useBuild().history.present;
  const [doing, setDoing] = useState('');
  const [said, setSaid] = useState('');
  const stop = useRef<AbortController>(undefined);
  useEffect(() => () => stop.current?.abort(), []);
  const { span, rowAlong, barAlong } = shoot.mat;
  const ready = shoot.photos.length > 0 && (span !== undefined || rowAlong !== undefined || barAlong !== undefined);

  const make = async () => {
    const controller = new AbortController();
    stop.current = controller;
    setSaid('');
    setDoing(say.making(say.make, 0));
    const made = await actions.makeMat(
      say.newName(today()),
      ({ stage, done }) => setDoing(say.making(stage, Math.round(100 * done))),
      controller.signal,
    );
    setDoing('');
    if (made) setSaid([say.made(made.mat.name), ...made.sentences].join(' '));
    onChange();
  };

  return (
    <>
      <div className="ways">
        {doing === '' ? (
          <>
            {ready && (
              <button type="button" onClick={() => void make()}>
                {say.make}
              </button>
            )}
            <FileButton
              accept=".json"
              multiple={false}
              onFiles={([file]) => void actions.openMat(file!).then(onChange)}
            >
              {say.open}
            </FileButton>
          </>
        ) : (
          <button type="button" onClick={() => stop.current?.abort()}>
            {say.stop}
          </button>
        )}
      </div>
      <p role="status" className="hint">
        {doing || said || (ready ? '' : say.makeNeeds)}
      </p>
    </>
  );
}
