import * as z from 'zod/mini';
import type { SeenTag } from '../../photo/edge_blur.ts';
import type { PhotoQuality } from '../../photo/quality.ts';

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

export type TagRequest =
  | { kind: 'photo'; name: string; file: Blob; base: string }
  | { kind: 'frame'; frame: ImageBitmap; base: string };

export interface TagAnswers {
  photo: PhotoLook;
  frame: FrameLook;
}

const isObject = (value: unknown): boolean => typeof value === 'object' && value !== null;

export const tagRequestSchema = z.object({
  call: z.number(),
  request: z.custom<TagRequest>((value) => isObject(value) && 'base' in (value as object)),
});

export const tagReplySchema = z.discriminatedUnion('kind', [
  /** share of OpenCV that has arrived */
  z.object({ kind: z.literal('fetching'), call: z.number(), done: z.number() }),
  z.object({ kind: z.literal('answer'), call: z.number(), answer: z.custom<PhotoLook | FrameLook>(isObject) }),
  z.object({ kind: z.literal('failed'), call: z.number(), message: z.string() }),
]);
export type TagReply = z.infer<typeof tagReplySchema>;
