import { useEffect, useRef, useState } from 'react';
import { tileNumber } from '../../mat/tile.ts';
import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import { tilesOf } from '../coverage/photo_coverage.ts';
import { CoverageDrawing } from '../coverage/photo_coverage_view.tsx';
import { usePhotos } from '../coverage/photo_entries.ts';
import { tiltWords } from '../coverage/photo_next_words.ts';
import type { PhotoView } from '../coverage/photo_view.ts';
import { useScreenAwake } from '../kit/use_screen_awake.ts';
import { useBuild } from '../session/app_context.tsx';
import { photoWords } from '../words/photo_words.ts';
import { heightWords } from './camera_advice.ts';
import { CameraControls } from './camera_controls.tsx';
import { CameraSoFar } from './camera_so_far.tsx';
import { FewPixels } from './camera_few_pixels.tsx';
import { CameraLast } from './camera_last.tsx';
import { CameraOverlay } from './camera_overlay.tsx';
import { cameraSays, useSteady } from './camera_says.ts';
import { chosen } from './camera_choices.ts';
import { type Opened, useCamera } from './use_camera.ts';
import { useWalk, type Walk } from './use_walk.ts';
import { completeWords, useComplete } from './walk_complete.ts';

/** The camera over the whole screen: what it sees, what the photos cover so far, and what to do next. */
export function CameraView({
  onFiles,
  onClose,
}: {
  onFiles: (files: File[]) => Promise<string | undefined>;
  onClose: () => void;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  const video = useRef<HTMLVideoElement>(null);
  const [automatic, setAutomatic] = useState(chosen.automatic);
  const opened = useCamera();
  const stream = opened.kind === 'open' ? opened.stream : undefined;
  const walk = useWalk(stream, video, automatic, onFiles);
  const close = () => dialog.current?.close();

  useEffect(() => dialog.current?.showModal(), []);
  useEffect(() => {
    const element = video.current;
    if (!stream || !element) return;
    element.srcObject = stream;
    // refused only while the tab is in the background; it starts by itself when it comes back
    element.play().catch(() => {});
  }, [stream]);
  const complete = automatic && walk.complete;
  useComplete(complete, close);
  useScreenAwake();

  return (
    <dialog
      ref={dialog}
      className={opened.kind === 'problem' ? 'whole-screen camera camera-problem' : 'whole-screen camera'}
      aria-label={photoWords.camera.title}
      onClose={onClose}
    >
      <div className="camera-picture">
        {stream && <video ref={video} playsInline muted aria-label={photoWords.camera.live} />}
        {walk.frame && walk.following && <CameraOverlay frame={walk.frame} take={walk.advice?.take ?? false} />}
      </div>
      <div className="camera-panel">
        <CameraStatus opened={opened} walk={walk} automatic={automatic} complete={complete} />
        <WalkShown walk={walk} />
        {stream && !walk.begun && <FewPixels stream={stream} />}
        <CameraControls
          pictures={walk.pictures}
          open={stream !== undefined}
          automatic={automatic}
          onAutomatic={(on) => setAutomatic((chosen.automatic = on))}
          onClose={close}
        />
      </div>
    </dialog>
  );
}

/** What to do, and why the last photo was not kept. */
function CameraStatus({
  opened,
  walk,
  automatic,
  complete,
}: {
  opened: Opened;
  walk: Walk;
  automatic: boolean;
  complete: boolean;
}) {
  const document_ = useBuild().history.present;
  const { advice, note } = walk;
  const { last, pending } = walk.pictures;
  const count = document_.shoot.photos.length + pending.length;
  const says = useSteady(cameraSays(walk, automatic, count), last?.kind === 'taking' || last?.kind === 'taken');
  const take = advice?.take && !complete && last?.kind !== 'taking' && note === undefined;
  return (
    <>
      <p className={take ? 'camera-advice camera-take' : 'camera-advice'} role="status">
        {opened.kind === 'opening' && photoWords.camera.opening}
        {opened.kind === 'problem' && opened.message}
        {opened.kind === 'open' && (complete ? completeWords(document_, count) : says)}
      </p>
      {last?.kind === 'failed' && (
        <p className="camera-refused" role="alert">
          {last.why}
        </p>
      )}
    </>
  );
}

/** What the photos cover, what the camera sees of it, and how the last photo is. */
function WalkShown({ walk: { view: last, following, views, pictures } }: { walk: Walk }) {
  const view = following ? last : undefined;
  const { lengths } = useBuild().history.present;
  const { photos, paper, tiles } = usePhotos();
  const ticked = pictures.last?.kind === 'taken' ? views.at(-1)?.columns : undefined;
  return (
    <>
      <CoverageDrawing
        views={views}
        mat={{ paper, tiles }}
        {...(view?.columns ? { live: view.columns } : {})}
        {...(ticked && { ticked })}
      />
      <CameraSoFar />
      <p className="hint camera-sees">{view && seenWords(view, lengths)}</p>
      <CameraLast photos={photos} />
    </>
  );
}

function seenWords({ columns, height, tilt }: PhotoView, lengths: LengthDisplay): string {
  if (!columns || height === undefined || tilt === undefined) return '';
  const { from, to } = tilesOf(columns);
  const up = heightWords(height, lengths);
  return photoWords.camera.sees(tileNumber(from), tileNumber(to), up, tiltWords(tilt));
}
