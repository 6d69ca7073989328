import { cropPhoto } from '../../photo/crop.ts';
import { decodePhotoFile } from '../../photo/decode_browser.ts';
import type { Photo } from '../../photo/photo.ts';
import { InputError } from '../../plan/input_error.ts';
import { photoQuality } from '../../photo/quality.ts';
import { detectTagQuads, loadOpenCv } from '../../vision/opencv.ts';
import { explainNoTags, readTags } from '../../vision/tags.ts';
import { whyNotHere } from './missing_part.ts';
import { lockDown } from './lock_down.ts';
import { serveCalls } from './serve_calls.ts';
import type { FrameLook, PhotoLook, TagTasks } from './tag_tasks.ts';
import { photoWords } from '../words/photo_words.ts';

lockDown();
serveCalls<TagTasks>({
  photo: async ({ name, file, base }, progress) => {
    await withOpenCv(base, progress);
    return lookAtPhoto(name, file);
  },
  frame: async ({ frame, base }, progress) => {
    await withOpenCv(base, progress);
    return lookAtFrame(frame);
  },
});

async function withOpenCv(base: string, progress: (share: number) => void): Promise<void> {
  try {
    await loadOpenCv(progress);
  } catch (error) {
    // what fetch() and import() throw when the network gives nothing
    if (error instanceof TypeError) throw new InputError(await whyNotHere(base));
    throw error;
  }
}

async function lookAtPhoto(name: string, file: Blob): Promise<PhotoLook> {
  const bytes = new Uint8Array(await file.arrayBuffer());
  const seen: PhotoLook = { width: 0, height: 0, tags: [], twice: [], fingerprint: fingerprintOf(bytes) };
  const photo = await decodePhotoFile({ name, bytes }).catch((error: unknown) => {
    if (error instanceof Error && error.name === 'InputError') return error.message;
    throw error;
  });
  if (typeof photo === 'string') return { ...seen, unreadable: photo };
  const { tags, twice } = await readTags(photo);
  return {
    ...seen,
    width: photo.width,
    height: photo.height,
    ...(photo.focalPrior === undefined ? {} : { focal: photo.focalPrior }),
    tags: tags.map(({ id, corners }) => ({ id, corners })),
    twice,
    quality: photoQuality(photo, tags),
    ...(tags.length === 0 ? { noTags: await explainNoTags(photo) } : {}),
    thumbnail: await thumbnailOf(photo),
  };
}

/** px along a thumbnail's longer side */
const thumbnailSide = 360;

function thumbnailOf(photo: Photo): Promise<Blob> {
  const side = Math.max(photo.width, photo.height);
  // twice too fine at first, so that scaling can smooth it
  const stride = Math.max(1, Math.floor(side / (2 * thumbnailSide)));
  const fine = cropPhoto(photo, { left: 0, top: 0, width: photo.width, height: photo.height }, stride);
  const source = canvasOf(fine.width, fine.height);
  source.context.putImageData(new ImageData(fine.rgba, fine.width, fine.height), 0, 0);
  const scale = thumbnailSide / Math.max(fine.width, fine.height);
  const { canvas, context } = canvasOf(Math.round(fine.width * scale), Math.round(fine.height * scale));
  context.imageSmoothingQuality = 'high';
  context.drawImage(source.canvas, 0, 0, canvas.width, canvas.height);
  return canvas.convertToBlob({ type: 'image/jpeg', quality: 0.8 });
}

/** The sides of cells must stay some pixels wide: a walk's photo shows three tiles or so. */
const frameWidth = 1280;

async function lookAtFrame(frame: VideoFrame | ImageBitmap): Promise<FrameLook> {
  const full = 'displayWidth' in frame ? { width: frame.displayWidth, height: frame.displayHeight } : frame;
  const scale = Math.min(1, frameWidth / Math.max(full.width, full.height));
  const [width, height] = [Math.round(full.width * scale), Math.round(full.height * scale)];
  const { context } = canvasOf(width, height);
  context.drawImage(frame, 0, 0, width, height);
  frame.close();
  const { data } = context.getImageData(0, 0, width, height);
  const luma = new Uint8Array(width * height);
  // ITU-R BT.601, in whole numbers
  for (let i = 0, at = 0; i < luma.length; i++, at += 4)
    luma[i] = (77 * data[at]! + 150 * data[at + 1]! + 29 * data[at + 2]!) >> 8;
  const tags = await detectTagQuads(luma, width, height);
  return { width, height, tags, quality: photoQuality({ width, height, luma }, tags, 'frame') };
}

function canvasOf(width: number, height: number) {
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d', { willReadFrequently: true });
  if (!context) throw new Error(photoWords.noPicture);
  return { canvas, context };
}

/** Size and a 32-bit FNV-1a over the bytes: two photos that differ do not share both. */
function fingerprintOf(bytes: Uint8Array): string {
  let hash = 0x811c9dc5;
  for (const byte of bytes) hash = Math.imul(hash ^ byte, 0x01000193);
  return `${bytes.length}-${hash >>> 0}`;
}
