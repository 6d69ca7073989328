import { tileNumber } from '../../mat/tile.ts';
import { BlobImage } from '../kit/blob_image.tsx';
import { baseName } from '../files/open_files.ts';
import { tilesOf } from '../coverage/photo_coverage.ts';
import type { SeenPhoto } from '../coverage/photo_entries.ts';
import { PhotoMark } from '../coverage/photo_mark.tsx';
import type { LookState } from '../coverage/photo_looks.ts';
import { tiltWords } from '../coverage/photo_next_words.ts';
import { words } from '../words/words.ts';

/** One photo: its picture, whether it will do and why not, what it shows. */
export function PhotoRow({ photo, onRemove }: { photo: SeenPhoto; onRemove: () => void }) {
  const { entry, state, judgement } = photo;
  const name = baseName(entry.name);
  const thumbnail = state.kind === 'seen' ? state.look.thumbnail : undefined;
  return (
    <li className="photo-row">
      <div className="photo-picture">
        {thumbnail && <BlobImage blob={thumbnail} alt={words.photos.picture(name)} />}
      </div>
      <div className="photo-says">
        <p className="photo-name">{name}</p>
        {judgement ? (
          <>
            <p className="photo-mark">
              <PhotoMark mark={judgement.mark} />
              <span>
                <strong>{words.photos[judgement.mark]}</strong>
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
          aria-label={words.photos.removeNamed(name)}
          onClick={onRemove}
        >
          {words.photos.remove}
        </button>
      </div>
    </li>
  );
}

function progress(state: LookState): string {
  if (state.kind === 'waiting') return words.photos.waiting;
  if (state.kind === 'failed') return words.photos.notLooked(state.message);
  return state.kind === 'looking' && state.fetching !== undefined
    ? words.photos.fetching(Math.round(100 * state.fetching))
    : words.photos.looking;
}

/** What a photo gives, in a few words: "sharp, 24 tags, tiles 2 to 4, tilted 17°". */
function shown({ state, view, judgement }: SeenPhoto): string {
  const { photos } = words;
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
