import { useEffect, useRef, useState } from 'react';
import { goodViews, usePhotos } from '../coverage/photo_entries.ts';
import { problemWords } from '../words/problem_words.ts';
import { photoWords } from '../words/photo_words.ts';
import { lookThrough, type SeenVideos } from './look_through_videos.ts';
import { chooseFrames } from './video_choice.ts';

/** A frame that was chosen, as a place in the list of frames; one that was taken out stays to be put back. */
export interface FrameRow {
  frame: number;
  out: boolean;
}

export type VideoState =
  | { kind: 'looking'; share: number }
  | { kind: 'problem'; message: string }
  | { kind: 'seen'; seen: SeenVideos; rows: FrameRow[] };

/** Looks through videos and chooses frames; the choice can then be changed. */
export function useVideoFrames(files: readonly File[]): {
  state: VideoState;
  change: (rows: FrameRow[]) => void;
} {
  const { photos, paper, tiles, wanted } = usePhotos();
  const [state, setState] = useState<VideoState>({ kind: 'looking', share: 0 });
  // what was there when the videos came: photos do not change while they are looked through
  const walk = useRef({ views: goodViews(photos), tiles, paper, ...(wanted && { wanted }) });
  useEffect(() => {
    const stop = new AbortController();
    const onDone = (share: number) => stop.signal.aborted || setState({ kind: 'looking', share });
    lookThrough(files, walk.current.paper, { signal: stop.signal, onDone }).then(
      (seen) => {
        const rows = chooseFrames(seen.frames, walk.current).map((frame) => ({ frame, out: false }));
        if (rows.length > 0) return setState({ kind: 'seen', seen, rows });
        const { none, nothingNew } = photoWords.video;
        setState({ kind: 'problem', message: seen.frames.length > 0 ? nothingNew : none });
      },
      (error: unknown) => {
        if (stop.signal.aborted) return;
        if (!(error instanceof Error)) throw error;
        const message = error.name === 'InputError' ? error.message : problemWords.unexpected(error.message);
        setState({ kind: 'problem', message });
      },
    );
    return () => stop.abort(new Error('stopped'));
  }, [files]);
  return {
    state,
    change: (rows) => setState((now) => (now.kind === 'seen' ? { ...now, rows } : now)),
  };
}
