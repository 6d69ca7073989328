import * as z from 'zod/mini';
import type { MatReadings } from '../plan/shoot.ts';
import { matReadingsSchema } from './kept_schema.ts';

/**
 * A camera's lens as the app keeps it: what a list shows of it, and the text of its file, which is read as strictly as
 * any file before a check takes it.
 */
export interface KeptLens {
  /** camera, lens, focal length and size of the picture, in EXIF's words: one lens is kept for each */
  camera: string;
  name: string;
  madeAt?: string;
  photos: number;
  /** how well its photos' corners were read, pixels */
  corner: number;
  /** its prewrap.lens/1 file */
  text: string;
}

/** A taped mat as the app keeps it: what a list shows of it, and the text of its file. */
export interface KeptMat {
  id: string;
  name: string;
  madeAt?: string;
  photos: number;
  /** page numbers, as printed on them */
  pages: number[];
  /** its prewrap.mat/1 file */
  text: string;
}

const name = z.string().check(z.minLength(1), z.maxLength(1000));
const lensSchema = z.object({
  camera: name,
  name,
  madeAt: z.optional(z.string().check(z.refine((moment) => !Number.isNaN(Date.parse(moment))))),
  photos: z.int().check(z.gte(1)),
  corner: z.number(),
  text: z.string().check(z.maxLength(10_000_000)),
});

/** A lens as it comes out of the browser's store; undefined where it is not what this app keeps. */
export const readKeptLens = (value: unknown): KeptLens | undefined =>
  lensSchema.safeParse(value).data as KeptLens | undefined;

const matSchema = z.object({
  id: name,
  name,
  madeAt: z.optional(z.string().check(z.refine((moment) => !Number.isNaN(Date.parse(moment))))),
  photos: z.int().check(z.gte(1)),
  pages: z.array(z.int().check(z.gte(1), z.lte(58))).check(z.minLength(1), z.maxLength(58)),
  text: z.string().check(z.maxLength(10_000_000)),
});

/** A mat as it comes out of the browser's store; undefined where it is not what this app keeps. */
export const readKeptMat = (value: unknown): KeptMat | undefined =>
  matSchema.safeParse(value).data as KeptMat | undefined;

/** A kept file's text as what it holds; undefined where it is spoilt: then a check that takes it says so. */
function fileOf<T extends z.ZodMiniType>(schema: T, { text }: KeptLens | KeptMat): z.infer<T> | undefined {
  try {
    return schema.safeParse(JSON.parse(text)).data;
  } catch {
    return undefined;
  }
}

/** A kept lens or mat under another name, in its file too. */
export function renamed<T extends KeptLens | KeptMat>(kept: T, newName: string): T {
  const file = fileOf(z.looseObject({}), kept);
  return { ...kept, name: newName, ...(file && { text: `${JSON.stringify({ ...file, name: newName })}\n` }) };
}

/** What was measured on a kept mat; nothing where its file is spoilt. */
export const readingsOf = (mat: KeptMat): MatReadings =>
  (fileOf(z.looseObject({ readings: matReadingsSchema }), mat)?.readings ?? {}) as MatReadings;
