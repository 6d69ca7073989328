import type { SeenPhoto } from '../coverage/photo_entries.ts';
import { PhotoMark } from '../coverage/photo_mark.tsx';
import { photoWords } from '../words/photo_words.ts';

/** How many photos there are, and whether the last one will do. */
export function CameraLast({ photos }: { photos: readonly SeenPhoto[] }) {
  const last = photos.at(-1);
  if (!last) return null;
  return (
    <p className="camera-last">
      <span className="camera-count">{photoWords.camera.taken(photos.length)}</span>
      {last.judgement ? (
        <>
          <PhotoMark mark={last.judgement.mark} />
          <span>{last.judgement.reasons[0] ?? photoWords.good}</span>
        </>
      ) : (
        <span>{photoWords.looking}</span>
      )}
    </p>
  );
}
