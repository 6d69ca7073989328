import { useEffect, useMemo, useRef, useState } from 'react';
import { tileNumber } from '../../mat/tile.ts';
import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { cameraAdvice, heightWords } from './camera_advice.ts';
import { CameraOverlay } from './camera_overlay.tsx';
import { canTakeStill, takeStill } from './camera_still.ts';
import { type CameraProblem, closeCamera, isStream, openCamera } from './camera_stream.ts';
import { watchVideo } from './camera_watch.ts';
import { FileButton } from '../kit/file_button.tsx';
import { nextPhoto } from '../coverage/next_photo.ts';
import { tilesOf } from '../coverage/photo_coverage.ts';
import { CoverageDrawing } from '../coverage/photo_coverage_view.tsx';
import { goodViews, usePhotos } from '../coverage/photo_entries.ts';
import { PhotoMark } from '../coverage/photo_mark.tsx';
import { tiltWords } from '../coverage/photo_next_words.ts';
import { type PhotoView, photoView } from '../coverage/photo_view.ts';
import type { FrameLook } from '../workers/tag_tasks.ts';
import { photoWords } from '../words/photo_words.ts';

type Opened = { kind: 'opening' } | { kind: 'open'; stream: MediaStream } | { kind: 'problem'; message: string };

/** The camera over the whole screen: what it sees, what the photos cover so far, and what to do next. */
export function CameraView({
  onFiles,
  onClose,
}: {
  onFiles: (files: File[]) => Promise<string | undefined>;
  onClose: () => void;
}) {
  const { actions } = useApp();
  const { lengths } = useBuild().history.present;
  const { photos, paper, tiles, wanted } = usePhotos();
  const [opened, setOpened] = useState<Opened>({ kind: 'opening' });
  const [frame, setFrame] = useState<FrameLook>();
  const [note, setNote] = useState<string>();
  const [still, setStill] = useState<'taking' | { failed: string }>();
  const dialog = useRef<HTMLDialogElement>(null);
  const video = useRef<HTMLVideoElement>(null);
  const { camera } = photoWords;

  useEffect(() => {
    dialog.current?.showModal();
    let stream: MediaStream | undefined;
    let gone = false;
    void openCamera().then((answer) => {
      if (!isStream(answer)) return setOpened({ kind: 'problem', message: problemWords(answer) });
      if (gone) return closeCamera(answer);
      stream = answer;
      stream
        .getVideoTracks()[0]
        ?.addEventListener('ended', () => setOpened({ kind: 'problem', message: camera.ended }));
      setOpened({ kind: 'open', stream });
    });
    return () => {
      gone = true;
      if (stream) closeCamera(stream);
    };
  }, [camera]);

  const stream = opened.kind === 'open' ? opened.stream : undefined;
  useEffect(() => {
    const element = video.current;
    if (!stream || !element) return;
    element.srcObject = stream;
    // refused only while the tab is in the background; it starts by itself when it comes back
    element.play().catch(() => {});
    return watchVideo(element, {
      onSeen: (seen) => {
        setFrame(seen);
        setNote(undefined);
      },
      onFetching: (done) => setNote(done < 1 ? camera.fetching(Math.round(100 * done)) : undefined),
      onFailed: () => {
        setFrame(undefined);
        setNote(camera.readerFailed);
      },
    });
  }, [stream, camera]);

  const views = useMemo(() => goodViews(photos), [photos]);
  const view = frame && photoView(frame, paper);
  const advice = frame && view && cameraAdvice(frame, view, nextPhoto(views, tiles, wanted), { paper, lengths });
  const last = photos.at(-1);

  const bring = async (files: File[]) => {
    const why = await onFiles(files);
    setStill(why === undefined ? undefined : { failed: why });
  };
  const take = async () => {
    if (!stream) return;
    setStill('taking');
    const file = await takeStill(stream).catch(() => undefined);
    if (file) await bring([file]);
    else setStill({ failed: camera.stillFailed });
  };

  return (
    <dialog
      ref={dialog}
      className={opened.kind === 'problem' ? 'camera camera-problem' : 'camera'}
      aria-label={camera.title}
      onClose={onClose}
    >
      <div className="camera-picture">
        {stream && <video ref={video} playsInline muted aria-label={camera.live} />}
        {frame && <CameraOverlay frame={frame} take={advice?.take ?? false} />}
      </div>
      <div className="camera-panel">
        <p
          className={advice?.take && still !== 'taking' && !note ? 'camera-advice camera-take' : 'camera-advice'}
          role="status"
        >
          {opened.kind === 'opening'
            ? camera.opening
            : opened.kind === 'problem'
              ? opened.message
              : still === 'taking'
                ? camera.taking
                : (note ?? advice?.says ?? camera.starting)}
        </p>
        {typeof still === 'object' && (
          <p className="camera-refused" role="alert">
            {still.failed}
          </p>
        )}
        <CoverageDrawing views={views} mat={{ paper, tiles }} {...(view?.columns ? { live: view.columns } : {})} />
        <p className="hint camera-sees">{view && seenWords(view, lengths)}</p>
        {last && (
          <p className="camera-last">
            <span className="camera-count">{camera.taken(photos.length)}</span>
            {last.judgement ? (
              <>
                <PhotoMark mark={last.judgement.mark} />
                <span>{last.judgement.reasons[0] ?? photoWords.good}</span>
              </>
            ) : (
              <span>{photoWords.looking}</span>
            )}
          </p>
        )}
        {stream && !canTakeStill() && <p className="hint">{camera.stills}</p>}
        <div className="ways camera-ways">
          {stream && canTakeStill() && (
            <button type="button" className="primary" disabled={still === 'taking'} onClick={() => void take()}>
              {camera.take}
            </button>
          )}
          <FileButton
            accept="image/*"
            capture
            className={stream && canTakeStill() ? '' : 'primary'}
            before={actions.flush}
            onFiles={(files) => void bring(files)}
          >
            {camera.useApp}
          </FileButton>
          <button type="button" onClick={() => dialog.current?.close()}>
            {camera.close}
          </button>
        </div>
      </div>
    </dialog>
  );
}

function seenWords({ columns, height, tilt }: PhotoView, lengths: LengthDisplay): string {
  if (!columns || height === undefined || tilt === undefined) return '';
  const { from, to } = tilesOf(columns);
  const up = heightWords(height, lengths);
  return photoWords.camera.sees(tileNumber(from), tileNumber(to), up, tiltWords(tilt));
}

function problemWords(problem: CameraProblem): string {
  const { camera } = photoWords;
  return problem.kind === 'failed' ? camera.failed(problem.why) : camera[problem.kind];
}
