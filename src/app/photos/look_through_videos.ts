import type { PaperName } from '../../mat/tile.ts';
import { pictureOf } from '../camera/camera_still.ts';
import { whatSpoils } from '../camera/camera_advice.ts';
import { frameOf } from '../camera/frame_of.ts';
import { photoView } from '../coverage/photo_view.ts';
import { tagBridge } from '../workers/bridges.ts';
import { frameName, type VideoFrame } from './video_choice.ts';
import { openVideo, seek, type VideoFile } from './video_file.ts';

/** A frame with a small picture of it. */
export interface SeenFrame extends VideoFrame {
  thumbnail: Blob;
}

/** What was seen in some videos. */
export interface SeenVideos {
  /** those that would make a photo, video by video, in order */
  frames: SeenFrame[];
  /** names of the videos */
  names: string[];
  /** pixels along the longer side of the smallest video */
  side: number;
}

const sampling = {
  /** seconds between two frames, and frames of one video at most: of a longer one fewer a second are looked at */
  step: 0.25,
  most: 120,
  /** px along a small picture's longer side */
  thumbnail: 320,
} as const;

/**
 * Looks at frames all along the videos, one after the other. Throws InputError where one can't be read, the signal's
 * reason where it was stopped.
 *
 * @param onDone told the share that is done
 */
export async function lookThrough(
  files: readonly File[],
  paper: PaperName,
  { signal, onDone }: { signal: AbortSignal; onDone: (share: number) => void },
): Promise<SeenVideos> {
  const frames: SeenFrame[] = [];
  let side = Number.POSITIVE_INFINITY;
  for (const [video, file] of files.entries()) {
    const open = await openVideo(file);
    try {
      const { element, length } = open;
      side = Math.min(side, Math.max(element.videoWidth, element.videoHeight));
      for (const at of times(length)) {
        signal.throwIfAborted();
        await seek(element, at, file.name);
        const seen = await lookAt(element, paper);
        if (seen) frames.push({ video, at, ...seen });
        onDone((video + at / length) / files.length);
      }
    } finally {
      open.close();
    }
  }
  return { frames, names: files.map(({ name }) => name), side };
}

/** Where in a video its frames are looked at, seconds. */
export function times(length: number): number[] {
  const count = Math.min(Math.max(Math.floor(length / sampling.step), 1), sampling.most);
  return Array.from({ length: count }, (_, i) => ((i + 0.5) * length) / count);
}

async function lookAt(
  element: HTMLVideoElement,
  paper: PaperName,
): Promise<Omit<SeenFrame, 'video' | 'at'> | undefined> {
  const frame = await frameOf(element);
  const look = await tagBridge.ask('frame', { frame, base: document.baseURI }, { transfer: [frame] });
  const view = photoView(look, paper);
  if (whatSpoils(look, view) !== undefined) return undefined;
  const { blur } = look.quality;
  return { view, ...(blur !== undefined && { blur }), thumbnail: await pictureOf(element, sampling.thumbnail) };
}

/** The frames as photos, JPEG in the video's own size, named by video and time. Throws as `lookThrough` does. */
export async function framesAsPhotos(files: readonly File[], frames: readonly VideoFrame[]): Promise<File[]> {
  const photos: File[] = [];
  let open: { video: number; file: VideoFile } | undefined;
  try {
    for (const { video, at } of frames) {
      const { name } = files[video]!;
      if (open?.video !== video) {
        open?.file.close();
        open = { video, file: await openVideo(files[video]!) };
      }
      await seek(open.file.element, at, name);
      photos.push(new File([await pictureOf(open.file.element)], frameName(name, at), { type: 'image/jpeg' }));
    }
  } finally {
    open?.file.close();
  }
  return photos;
}
