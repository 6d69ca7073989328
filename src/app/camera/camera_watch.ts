import { tagBridge } from '../workers/bridges.ts';
import type { FrameLook } from '../workers/tag_tasks.ts';
import { frameOf } from './frame_of.ts';

/** At most this many frames a second are looked at: enough to follow a hand, kind to the battery. */
const framesPerSecond = 8;

export interface CameraWatch {
  /** `at`: when the frame was shown, ms, as performance.now() counts */
  onSeen: (frame: FrameLook, at: number) => void;
  /** share of the tag reader that has arrived, the first time */
  onFetching: (done: number) => void;
  /** the tags can't be followed; nothing more comes */
  onFailed: () => void;
}

/**
 * Follows the tags in a playing video, one frame at a time in the worker; rests while the page is hidden. Returns what
 * ends it.
 */
export function watchVideo(video: HTMLVideoElement, { onSeen, onFetching, onFailed }: CameraWatch): () => void {
  let ended = false;
  const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
  const loop = async () => {
    while (!ended) {
      const next = pause(1000 / framesPerSecond);
      if (!document.hidden && video.readyState >= HTMLMediaElement.HAVE_CURRENT_DATA) {
        const at = performance.now();
        const frame = await frameOf(video);
        const seen = await tagBridge.ask(
          'frame',
          { frame, base: document.baseURI },
          { ahead: true, transfer: [frame], onProgress: onFetching },
        );
        if (!ended) onSeen(seen, at);
      }
      await next;
    }
  };
  loop().catch(() => {
    if (!ended) onFailed();
  });
  return () => {
    ended = true;
  };
}
