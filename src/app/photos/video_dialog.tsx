import { useEffect, useRef, useState } from 'react';
import { baseName } from '../files/open_files.ts';
import { photoWords } from '../words/photo_words.ts';
import { framesAsPhotos } from './look_through_videos.ts';
import { useVideoFrames } from './use_video_frames.ts';
import { VideoChoice } from './video_choice_view.tsx';

/** Videos are looked through, and frames out of them chosen; the choice becomes photos. */
export function VideoDialog({
  files,
  onFiles,
  onClose,
}: {
  files: readonly File[];
  onFiles: (files: File[]) => Promise<string | undefined>;
  onClose: () => void;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  const { state, change } = useVideoFrames(files);
  const [using, setUsing] = useState(false);
  const [failed, setFailed] = useState<string>();
  const { video } = photoWords;
  useEffect(() => dialog.current?.showModal(), []);

  const use = async () => {
    if (state.kind !== 'seen') return;
    setUsing(true);
    const chosen = state.rows.filter(({ out }) => !out).map(({ frame }) => state.seen.frames[frame]!);
    try {
      await onFiles(await framesAsPhotos(files, chosen));
      dialog.current?.close();
    } catch (error) {
      if (!(error instanceof Error)) throw error;
      setFailed(error.message);
      setUsing(false);
    }
  };

  return (
    <dialog ref={dialog} className="video-frames" aria-labelledby="video-frames" onClose={onClose}>
      <h2 id="video-frames">{video.title}</h2>
      {state.kind === 'looking' && <Looking files={files} share={state.share} />}
      {state.kind === 'problem' && <p role="alert">{state.message}</p>}
      {state.kind === 'seen' && <VideoChoice seen={state.seen} rows={state.rows} onRows={change} />}
      {using && <p role="status">{video.using}</p>}
      {failed !== undefined && <p role="alert">{failed}</p>}
      <div className="ways">
        {state.kind === 'seen' && (
          <button
            type="button"
            className="primary"
            disabled={using || state.rows.every(({ out }) => out)}
            onClick={() => void use()}
          >
            {video.use(state.rows.filter(({ out }) => !out).length)}
          </button>
        )}
        <button type="button" onClick={() => dialog.current?.close()}>
          {state.kind === 'looking' ? video.stop : state.kind === 'seen' ? video.cancel : photoWords.camera.close}
        </button>
      </div>
    </dialog>
  );
}

function Looking({ files, share }: { files: readonly File[]; share: number }) {
  const { video } = photoWords;
  return (
    <>
      <p role="status">{video.looking(files.map(({ name }) => baseName(name)))}</p>
      <progress max={100} value={Math.round(100 * share)} aria-label={video.progress} />
    </>
  );
}
