import { useEffect, useState } from 'react';
import { useApp, useBuild } from '../session/app_context.tsx';
import { canOpenCamera } from '../camera/camera_stream.ts';
import { CameraView } from '../camera/camera_view.tsx';
import { DropArea } from '../kit/drop_area.tsx';
import { WalkDrawing } from '../kit/drawings/walk_drawing.tsx';
import { FileButton } from '../kit/file_button.tsx';
import { undoName } from '../edits/history.ts';
import { nextPhoto } from '../coverage/next_photo.ts';
import { baseName } from '../files/open_files.ts';
import { CoverageDrawing, CoverageWords } from '../coverage/photo_coverage_view.tsx';
import { goodViews, usePhotos } from '../coverage/photo_entries.ts';
import { photosAmong } from '../files/photo_files.ts';
import { nextPhotoWords } from '../coverage/photo_next_words.ts';
import { PhotoRow } from './photo_row.tsx';
import { words } from '../words/words.ts';

/** The photos of the shoot in hand: how to take them, what they cover, whether each will do. */
export function PhotosScreen() {
  const { actions } = useApp();
  const { history } = useBuild();
  const { photos, paper, tiles } = usePhotos();
  const [camera, setCamera] = useState(false);
  const [removed, setRemoved] = useState<string>();
  const views = goodViews(photos);
  const looking = photos.some(({ state }) => state.kind === 'waiting' || state.kind === 'looking');

  const add = async (files: readonly File[]) => {
    setRemoved(undefined);
    const { good, problem } = await photosAmong(files, history.present.shoot.photos, actions.photoFile);
    actions.tell(problem);
    await actions.addPhotos(good);
    return problem;
  };
  useEffect(() => onPastedFiles((files) => void add(files)));

  const remove = (id: string, name: string) => {
    actions.edit(words.changes.removePhoto(name), (document) => ({
      ...document,
      shoot: { ...document.shoot, photos: document.shoot.photos.filter((entry) => entry.id !== id) },
    }));
    setRemoved(name);
  };

  return (
    <DropArea onFiles={(files) => void add(files)} hint={words.photos.drop}>
      <div className="photos">
        {photos.length > 0 && (
          <section className="coverage" aria-label={words.photos.coverage}>
            <CoverageDrawing views={views} mat={{ paper, tiles }} />
            <CoverageWords views={views} tiles={tiles} looking={looking} />
            {!looking && <p className="next-photo">{nextPhotoWords(nextPhoto(views, tiles))}</p>}
          </section>
        )}
        {photos.length === 0 && (
          <figure className="walk">
            <WalkDrawing />
            <figcaption>{words.photos.walk}</figcaption>
          </figure>
        )}
        <div className="ways">
          <FileButton
            accept={accept}
            capture
            className="primary"
            before={actions.flush}
            onFiles={(files) => void add(files)}
          >
            {words.photos.take}
          </FileButton>
          {canOpenCamera() && (
            <button type="button" onClick={() => void actions.flush().then(() => setCamera(true))}>
              {words.photos.guide}
            </button>
          )}
          <FileButton accept={accept} onFiles={(files) => void add(files)}>
            {words.photos.choose}
          </FileButton>
        </div>
        <p className="hint">
          {words.photos.ways} {!canOpenCamera() && words.photos.camera.needsHttps}
        </p>
        {removed !== undefined && undoName(history) === words.changes.removePhoto(removed) && (
          <p className="note" role="status">
            {words.photos.removed(baseName(removed))}
            <button type="button" onClick={actions.undo}>
              {words.photos.undoRemove}
            </button>
          </p>
        )}
        <ul className="photo-rows" aria-label={words.photos.list}>
          {photos.map((photo) => (
            <PhotoRow key={photo.entry.id} photo={photo} onRemove={() => remove(photo.entry.id, photo.entry.name)} />
          ))}
        </ul>
      </div>
      {camera && <CameraView onFiles={add} onClose={() => setCamera(false)} />}
    </DropArea>
  );
}

/** Some systems hide HEIC among images. */
const accept = 'image/*,.heic,.heif';

function onPastedFiles(take: (files: File[]) => void): () => void {
  const paste = (event: ClipboardEvent) => {
    const files = [...(event.clipboardData?.files ?? [])];
    if (files.length > 0) take(files);
  };
  window.addEventListener('paste', paste);
  return () => window.removeEventListener('paste', paste);
}
