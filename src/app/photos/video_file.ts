import { InputError } from '../../plan/input_error.ts';
import { photoWords } from '../words/photo_words.ts';

/** Whether a file is to be looked through for frames: some systems give no type, so its name counts as well. */
export const isVideo = (file: File): boolean =>
  file.type.startsWith('video/') || (file.type === '' && /\.(mp4|m4v|mov|webm|mkv|avi|3gp)$/i.test(file.name));

/** A video file that can be gone to any place in. */
export interface VideoFile {
  element: HTMLVideoElement;
  /** seconds */
  length: number;
  close: () => void;
}

/** A browser that has not answered by then does not answer, ms. */
const patience = 20_000;
/** Farther than any video reaches, seconds. */
const beyond = 1e7;

/** Opens a video file. Throws InputError where this browser can't show it. */
export async function openVideo(file: File): Promise<VideoFile> {
  const element = document.createElement('video');
  const url = URL.createObjectURL(file);
  const close = () => {
    element.removeAttribute('src');
    element.load();
    URL.revokeObjectURL(url);
  };
  element.muted = true;
  element.playsInline = true;
  element.preload = 'auto';
  element.src = url;
  try {
    await said(element, 'loadeddata', file.name);
    // a video that was recorded in a browser does not say how long it is until its end was seen
    if (!Number.isFinite(element.duration)) await seek(element, beyond, file.name);
    if (!element.videoWidth || !Number.isFinite(element.duration)) throw new InputError(unreadable(file.name));
    return { element, length: element.duration, close };
  } catch (error) {
    close();
    throw error;
  }
}

/** Shows the frame at so many seconds. Throws InputError where the video can't be read there. */
export async function seek(element: HTMLVideoElement, at: number, name: string): Promise<void> {
  const done = said(element, 'seeked', name);
  element.currentTime = at;
  await done;
}

const unreadable = (name: string): string => photoWords.video.unreadable(name);

function said(element: HTMLVideoElement, event: 'loadeddata' | 'seeked', name: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const over = new AbortController();
    const fail = () => {
      over.abort();
      reject(new InputError(unreadable(name)));
    };
    const late = setTimeout(fail, patience);
    over.signal.addEventListener('abort', () => clearTimeout(late));
    element.addEventListener('error', fail, { signal: over.signal });
    element.addEventListener(
      event,
      () => {
        over.abort();
        resolve();
      },
      { signal: over.signal },
    );
  });
}
