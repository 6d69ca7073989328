import { tileNumber } from '../../mat/tile.ts';
import { BlobImage } from '../kit/blob_image.tsx';
import { baseName } from '../files/open_files.ts';
import { tilesOf } from '../coverage/photo_coverage.ts';
import type { SeenPhoto } from '../coverage/photo_entries.ts';
import { PhotoMark } from '../coverage/photo_mark.tsx';
import type { LookState } from '../coverage/photo_looks.ts';
import { tiltWords } from '../coverage/photo_next_words.ts';
import { photoWords } from '../words/photo_words.ts';

/** One photo: its picture, whether it will do and why not, what it shows. */
export function PhotoRow({ photo, onRemove }: { photo: SeenPhoto; onRemove: () => void }) {
  const { entry, state, judgement } = photo;
  const name = baseName(entry.name);
  const thumbnail = state.kind === 'seen' ? state.look.thumbnail : undefined;
  return (
    <li className="photo-row">
      <div className="photo-picture">{thumbnail && <BlobImage blob={thumbnail} alt={photoWords.picture(name)} />}</div>
      <div className="photo-says">
        <p className="photo-name">{name}</p>
        {judgement ? (
          <>
            <p className="photo-mark">
              <PhotoMark mark={judgement.mark} />
              <span>
                <strong>{photoWords[judgement.mark]}</strong>
                {judgement.mark !== 'unusable' && `: ${shown(photo)}.`}
              </span>
            </p>
            {judgement.reasons.map((reason) => (
              <p key={reason} className="photo-reason">
                {reason}
              </p>
            ))}
          </>
        ) : (
          <p className="photo-mark hint">{progress(state)}</p>
        )}
        <button
          type="button"
          className="quiet photo-remove"
          aria-label={photoWords.removeNamed(name)}
          onClick={onRemove}
        >
          {photoWords.remove}
        </button>
      </div>
    </li>
  );
}

function progress(state: LookState): string {
  if (state.kind === 'waiting') return photoWords.waiting;
  if (state.kind === 'failed') return photoWords.notLooked(state.message);
  return state.kind === 'looking' && state.fetching !== undefined
    ? photoWords.fetching(Math.round(100 * state.fetching))
    : photoWords.looking;
}

/** What a photo gives, in a few words: "sharp, 24 tags, tiles 2 to 4, tilted 17°". */
function shown({ state, view, judgement }: SeenPhoto): string {
  const photos = photoWords;
  if (state.kind !== 'seen') return '';
  const tiles = view?.columns && tilesOf(view.columns);
  return [
    judgement?.mark === 'good' && photos.sharp,
    photos.tags(state.look.tags.length),
    tiles && photos.covers(tileNumber(tiles.from), tileNumber(tiles.to)),
    view?.tilt !== undefined && tiltWords(view.tilt),
  ]
    .filter(Boolean)
    .join(', ');
}
