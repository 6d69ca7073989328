import { InputError } from '../plan/input_error.ts';
import { damagedMessage, heicMessage, inspectPhotoFile } from './inspect_photo.ts';
import { emptyPhoto, writeBand } from './luma.ts';
import type { Photo, PhotoFile } from './photo.ts';

/** A canvas holds one band at a time: browsers on phones refuse canvases over 16.7 megapixels. */
const bandPixels = 2e6;

type Context = OffscreenCanvasRenderingContext2D | CanvasRenderingContext2D;

/**
 * Whether photos can be decoded on this thread. A worker of an older browser has no canvas to read pixels from; there
 * the page decodes and hands the planes over.
 */
export const canDecodeHere = (): boolean => makeContext(2, 2) !== undefined;

/**
 * A photo file to upright pixels, in a browser's worker or page. EXIF orientation is applied by the browser here and
 * nowhere after. Colour profiles are not applied: positions, not colours, are measured.
 *
 * @throws InputError naming the file, what is wrong with it and what to do
 */
export async function decodePhotoFile(file: PhotoFile): Promise<Photo> {
  const { kind, facts } = inspectPhotoFile(file);
  const bitmap = await openBitmap(file.bytes).catch(() => {
    throw new InputError(kind === 'heic' ? heicMessage(file.name) : damagedMessage(file.name));
  });
  try {
    const photo = emptyPhoto(file.name, bitmap.width, bitmap.height);
    // Even, so that no 2 x 2 block is cut in two.
    const bandRows = Math.max(2, 2 * Math.floor(bandPixels / bitmap.width / 2));
    const context = makeContext(bitmap.width, Math.min(bandRows, bitmap.height));
    if (!context) {
      throw new InputError(`${file.name} cannot be read in this browser: update the browser, or use another one.`);
    }
    context.fillStyle = 'white';
    for (let row = 0; row < bitmap.height; row += bandRows) {
      const rows = Math.min(bandRows, bitmap.height - row);
      context.fillRect(0, 0, bitmap.width, rows);
      context.drawImage(bitmap, 0, row, bitmap.width, rows, 0, 0, bitmap.width, rows);
      writeBand(photo, context.getImageData(0, 0, bitmap.width, rows).data, 4, row, rows);
    }
    // Gives the canvas's memory back at once: Safari otherwise keeps it until the next collection.
    context.canvas.width = 0;
    context.canvas.height = 0;
    return { ...photo, ...facts };
  } finally {
    bitmap.close();
  }
}

function openBitmap(bytes: Uint8Array): Promise<ImageBitmap> {
  const owned: Uint8Array<ArrayBuffer> =
    bytes.buffer instanceof ArrayBuffer
      ? new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength)
      : bytes.slice();
  return createImageBitmap(new Blob([owned]), { imageOrientation: 'from-image', colorSpaceConversion: 'none' });
}

function makeContext(width: number, height: number): Context | undefined {
  const settings: CanvasRenderingContext2DSettings = { alpha: false, willReadFrequently: true };
  if (typeof OffscreenCanvas !== 'undefined') {
    const context = new OffscreenCanvas(width, height).getContext('2d', settings);
    if (context) return context;
  }
  if (typeof document === 'undefined') return undefined;
  const canvas = document.createElement('canvas');
  canvas.width = width;
  canvas.height = height;
  const context: CanvasRenderingContext2D | null = canvas.getContext('2d', settings);
  return context ?? undefined;
}
