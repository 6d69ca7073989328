import { type RefObject, useEffect, useLayoutEffect, useRef, useState } from 'react';
import type { FrameLook } from '../workers/tag_tasks.ts';
import { photoWords } from '../words/photo_words.ts';
import { watchVideo } from './camera_watch.ts';

/**
 * The last frame that was seen of a playing video, and what stands in the way of following it; each frame is handed to
 * `onFrame` with the time it was shown, ms. Where `following` is off no more are looked at.
 */
export function useFrames(
  stream: MediaStream | undefined,
  video: RefObject<HTMLVideoElement | null>,
  onFrame: (frame: FrameLook, at: number) => void,
  following: boolean,
): { frame?: FrameLook; note?: string } {
  const [frame, setFrame] = useState<FrameLook>();
  const [note, setNote] = useState<string>();
  const follow = useRef(onFrame);
  useLayoutEffect(() => {
    follow.current = onFrame;
  });
  useEffect(() => {
    if (!stream || !video.current || !following) return;
    const { camera } = photoWords;
    return watchVideo(video.current, {
      onSeen: (seen, at) => {
        setFrame(seen);
        setNote(undefined);
        follow.current(seen, at);
      },
      onFetching: (done) => setNote(done < 1 ? camera.fetching(Math.round(100 * done)) : undefined),
      onFailed: () => {
        setFrame(undefined);
        setNote(camera.readerFailed);
      },
    });
  }, [stream, video, following]);
  return { ...(frame && { frame }), ...(note !== undefined && { note }) };
}
