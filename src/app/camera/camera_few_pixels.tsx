import { useEffect, useState } from 'react';
import { usePhotos } from '../coverage/photo_entries.ts';
import { fewPixelsWords } from '../coverage/pixel_doubt_words.ts';
import { canTakeStill, pictureSide } from './camera_still.ts';
import { photoWords } from '../words/photo_words.ts';

/** What it costs, said beforehand, where pictures from this camera have fewer pixels than a phone's own photos. */
export function FewPixels({ stream }: { stream: MediaStream }) {
  const { photos } = usePhotos();
  const [side, setSide] = useState<number>();
  useEffect(() => {
    let gone = false;
    void pictureSide(stream).then((found) => gone || setSide(found));
    return () => {
      gone = true;
    };
  }, [stream]);
  const doubt = side === undefined ? undefined : fewPixelsWords(side, photos);
  if (doubt === undefined && canTakeStill()) return null;
  return (
    <p className="hint">
      {!canTakeStill() && photoWords.camera.stills} {doubt}
    </p>
  );
}
