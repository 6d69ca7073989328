import { useEffect, useState } from 'react';
import { useApp, useBuild } from '../session/app_context.tsx';
import { canOpenCamera } from '../camera/camera_stream.ts';
import { readySound } from '../camera/taken_sound.ts';
import { CameraView } from '../camera/camera_view.tsx';
import { DropArea } from '../kit/drop_area.tsx';
import { WalkDrawing } from '../kit/drawings/walk_drawing.tsx';
import { FileButton } from '../kit/file_button.tsx';
import { undoName } from '../edits/history.ts';
import { nextPhoto } from '../coverage/next_photo.ts';
import { baseName } from '../files/open_files.ts';
import { OnMat } from '../coverage/on_mat.tsx';
import { CoverageDrawing, CoverageWords } from '../coverage/photo_coverage_view.tsx';
import { goodViews, usePhotos } from '../coverage/photo_entries.ts';
import { photosAmong } from '../files/photo_files.ts';
import { nextPhotoWords } from '../coverage/photo_next_words.ts';
import { PhotoRow } from './photo_row.tsx';
import { VideoDialog } from './video_dialog.tsx';
import { isVideo } from './video_file.ts';
import { changeWords } from '../words/changes_words.ts';
import { photoWords } from '../words/photo_words.ts';

/** The photos of the shoot in hand: how to take them, what they cover, whether each will do. */
export function PhotosScreen() {
  const { actions } = useApp();
  const { history } = useBuild();
  const { photos, ...mat } = usePhotos();
  const [camera, setCamera] = useState(false);
  const [videos, setVideos] = useState<readonly File[]>();
  const [removed, setRemoved] = useState<string>();

  const add = async (files: readonly File[]) => {
    setRemoved(undefined);
    const found = files.filter(isVideo);
    if (found.length > 0) setVideos(found);
    const stills = files.filter((file) => !isVideo(file));
    const { good, problem } = await photosAmong(stills, history.present.shoot.photos, actions.photoFile);
    actions.tell(problem);
    await actions.addPhotos(good);
    return problem;
  };
  useEffect(() => onPastedFiles((files) => void add(files)));

  const remove = (id: string, name: string) => {
    actions.edit(changeWords.removePhoto(name), (document) => ({
      ...document,
      shoot: { ...document.shoot, photos: document.shoot.photos.filter((entry) => entry.id !== id) },
    }));
    setRemoved(name);
  };

  return (
    <DropArea onFiles={(files) => void add(files)} hint={photoWords.drop}>
      <div className="photos">
        <OnMat />
        {photos.length > 0 ? <Coverage photos={photos} {...mat} /> : <Walk />}
        <PhotoWays onFiles={(files) => void add(files)} onCamera={() => setCamera(true)} />
        {removed !== undefined && <Removed name={removed} />}
        <ul className="photo-rows" aria-label={photoWords.list}>
          {photos.map((photo) => (
            <PhotoRow key={photo.entry.id} photo={photo} onRemove={() => remove(photo.entry.id, photo.entry.name)} />
          ))}
        </ul>
      </div>
      {camera && <CameraView onFiles={add} onClose={() => setCamera(false)} />}
      {videos && <VideoDialog files={videos} onFiles={add} onClose={() => setVideos(undefined)} />}
    </DropArea>
  );
}

/** How much of the mat the photos show, and what the next one should. */
function Coverage({ photos, paper, tiles, wanted }: ReturnType<typeof usePhotos>) {
  const views = goodViews(photos);
  const looking = photos.some(({ state }) => state.kind === 'waiting' || state.kind === 'looking');
  return (
    <section className="coverage" aria-label={photoWords.coverage}>
      <CoverageDrawing views={views} mat={{ paper, tiles }} />
      <CoverageWords views={views} tiles={tiles} looking={looking} />
      {!looking && <p className="next-photo">{nextPhotoWords(nextPhoto(views, tiles, wanted))}</p>}
    </section>
  );
}

/** How to walk along the rod, before there is a photo. */
const Walk = () => (
  <figure className="walk">
    <WalkDrawing />
    <figcaption>{photoWords.walk}</figcaption>
  </figure>
);

/** Taking photos, with the app's own camera or the phone's, and choosing photos and videos that are there. */
function PhotoWays({ onFiles, onCamera }: { onFiles: (files: readonly File[]) => void; onCamera: () => void }) {
  const { actions } = useApp();
  const openCamera = () => {
    readySound();
    void actions.flush().then(onCamera);
  };
  return (
    <>
      <div className="ways">
        <FileButton accept={accept} capture className="primary" before={actions.flush} onFiles={onFiles}>
          {photoWords.take}
        </FileButton>
        {canOpenCamera() && (
          <button type="button" onClick={openCamera}>
            {photoWords.guide}
          </button>
        )}
        <FileButton accept={`${accept},${acceptVideo}`} onFiles={onFiles}>
          {photoWords.choose}
        </FileButton>
      </div>
      <p className="hint">
        {photoWords.ways} {!canOpenCamera() && photoWords.camera.needsHttps}
      </p>
    </>
  );
}

/** Which photo was taken out, as long as it can be put back. */
function Removed({ name }: { name: string }) {
  const { actions } = useApp();
  const { history } = useBuild();
  if (undoName(history) !== changeWords.removePhoto(name)) return null;
  return (
    <p className="note" role="status">
      {photoWords.removed(baseName(name))}
      <button type="button" onClick={actions.undo}>
        {photoWords.undoRemove}
      </button>
    </p>
  );
}

/** Some systems hide HEIC among images. */
const accept = 'image/*,.heic,.heif';
const acceptVideo = 'video/*';

function onPastedFiles(take: (files: File[]) => void): () => void {
  const paste = (event: ClipboardEvent) => {
    const files = [...(event.clipboardData?.files ?? [])];
    if (files.length > 0) take(files);
  };
  window.addEventListener('paste', paste);
  return () => window.removeEventListener('paste', paste);
}
