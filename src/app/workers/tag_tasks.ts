import * as z from 'zod/mini';
import type { SeenTag } from '../../photo/edge_blur.ts';
import type { PhotoQuality } from '../../photo/quality.ts';
import type { ReplySchemas } from './worker_bridge.ts';

/** A photo as the worker saw it. */
export interface PhotoLook {
  /** pixels of the upright photo; 0 where it could not be decoded */
  width: number;
  height: number;
  /** by EXIF, pixels */
  focal?: number;
  tags: SeenTag[];
  /** ids read at two places */
  twice: number[];
  quality?: PhotoQuality;
  /** one sentence: why it can't be decoded */
  unreadable?: string;
  /** what else is known where no tag was read */
  noTags?: 'mirrored' | 'other-family' | 'none';
  thumbnail?: Blob;
  /** the same for files of the same bytes */
  fingerprint: string;
}

/** One frame of the camera's stream as the worker saw it; corners in the pixels of a frame `width` by `height`. */
export interface FrameLook {
  width: number;
  height: number;
  tags: SeenTag[];
  quality: PhotoQuality;
}

/**
 * `base` is where the app's files lie: the page's base URL. Told on the way is the share of OpenCV that has arrived.
 */
export interface TagTasks {
  photo: { input: { name: string; file: Blob; base: string }; progress: number; answer: PhotoLook };
  frame: { input: { frame: VideoFrame | ImageBitmap; base: string }; progress: number; answer: FrameLook };
}

const isLook = (value: unknown): boolean => typeof value === 'object' && value !== null && 'tags' in value;

export const tagReplies: ReplySchemas<TagTasks> = {
  photo: { progress: z.number(), answer: z.custom<PhotoLook>(isLook) },
  frame: { progress: z.number(), answer: z.custom<FrameLook>(isLook) },
};
