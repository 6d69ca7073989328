import { useState } from 'react';
import { FileButton } from '../kit/file_button.tsx';
import { useApp } from '../session/app_context.tsx';
import { photoWords } from '../words/photo_words.ts';
import { chosen } from './camera_choices.ts';
import { readySound } from './taken_sound.ts';
import type { Pictures } from './use_pictures.ts';

/** How the camera takes photos, and its buttons. */
export function CameraControls({
  pictures,
  open,
  automatic,
  onAutomatic,
  onClose,
}: {
  pictures: Pictures;
  /** whether the camera gives a picture */
  open: boolean;
  automatic: boolean;
  onAutomatic: (on: boolean) => void;
  onClose: () => void;
}) {
  const { actions } = useApp();
  const { camera } = photoWords;
  return (
    <>
      {open && <Choices automatic={automatic} onAutomatic={onAutomatic} />}
      <div className="ways">
        {open && (
          <button
            type="button"
            className="primary"
            disabled={pictures.last?.kind === 'taking'}
            onClick={() => void pictures.takeByHand()}
          >
            {camera.take}
          </button>
        )}
        <FileButton
          accept="image/*"
          capture
          className={open ? '' : 'primary'}
          before={actions.flush}
          onFiles={(files) => void pictures.bring(files)}
        >
          {camera.useApp}
        </FileButton>
        <button type="button" onClick={onClose}>
          {camera.close}
        </button>
      </div>
    </>
  );
}

/** Whether photos are taken by themselves, and whether that is heard. */
function Choices({ automatic, onAutomatic }: { automatic: boolean; onAutomatic: (on: boolean) => void }) {
  const [loud, setLoud] = useState(chosen.sound);
  const { camera } = photoWords;
  return (
    <div className="camera-choices">
      <label>
        <input type="checkbox" checked={automatic} onChange={(event) => onAutomatic(event.target.checked)} />
        {camera.automatic}
      </label>
      <label>
        <input
          type="checkbox"
          checked={loud}
          onChange={(event) => {
            setLoud((chosen.sound = event.target.checked));
            if (chosen.sound) readySound();
          }}
        />
        {camera.sound}
      </label>
    </div>
  );
}
