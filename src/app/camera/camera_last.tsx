import type { SeenPhoto } from '../coverage/photo_entries.ts';
import { PhotoMark } from '../coverage/photo_mark.tsx';
import { photoWords } from '../words/photo_words.ts';

/** How many photos there are, and whether the last one will do. */
export function CameraLast({ photos }: { photos: readonly SeenPhoto[] }) {
  const last = photos.at(-1);
  if (!last) return null;
  const { judgement, state } = last;
  // what fewer pixels cost was said before
  const problems = state.kind === 'seen' ? (state.look.quality?.problems ?? []) : [];
  const said = problems.find(({ kind }) => kind === 'few-pixels')?.message;
  const reason = judgement?.reasons.find((own) => own !== said);
  return (
    <p className="camera-last">
      <span className="camera-count">{photoWords.camera.taken(photos.length)}</span>
      {judgement ? (
        <>
          <PhotoMark mark={judgement.mark} />
          <span>{reason ?? photoWords[judgement.mark]}</span>
        </>
      ) : (
        <span>{photoWords.looking}</span>
      )}
    </p>
  );
}
