import { useApp, useBuild } from './app_context.tsx';
import { DropArea } from './drop_area.tsx';
import { FileButton } from './file_button.tsx';
import { words } from './words.ts';

/** The photos of the shoot in hand. */
export function PhotosScreen() {
  const { actions } = useApp();
  const { photos } = useBuild().history.present.shoot;
  const add = (files: File[]) => void actions.addPhotos(files);
  return (
    <DropArea onFiles={add} hint={words.photos.drop}>
      <div className="ways">
        <FileButton accept="image/*" capture className="primary" onFiles={add}>
          {words.photos.take}
        </FileButton>
        <FileButton accept="image/*" onFiles={add}>
          {words.photos.choose}
        </FileButton>
      </div>
      <ul className="rows">
        {photos.map((photo) => (
          <li key={photo.id} className="row">
            <span>{photo.name}</span>
            <button
              type="button"
              className="quiet"
              onClick={() =>
                actions.edit(words.changes.removePhoto(photo.name), (document) => ({
                  ...document,
                  shoot: {
                    ...document.shoot,
                    photos: document.shoot.photos.filter((entry) => entry.id !== photo.id),
                  },
                }))
              }
            >
              {words.photos.remove}
            </button>
          </li>
        ))}
      </ul>
    </DropArea>
  );
}
