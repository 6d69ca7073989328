import { InputError } from '../plan/input_error.ts';
import { withoutExifChunk } from './exif_chunk.ts';
import { damagedMessage, heicMessage, inspectPhotoFile } from './inspect_photo.ts';
import { emptyPhoto, writeBand } from './luma.ts';
import type { Photo, PhotoFile } from './photo.ts';
import { shownName } from '../plan/shown_name.ts';

/** A canvas holds one band at a time: browsers on phones refuse canvases over 16.7 megapixels. */
const bandPixels = 2e6;

type Context = OffscreenCanvasRenderingContext2D | CanvasRenderingContext2D;

/**
 * A photo file to upright pixels, in a browser's worker or page. EXIF orientation is applied here and nowhere after: by
 * the browser in JPEG, HEIC and AVIF files, where all agree, by the canvas in PNG and WebP files. Colour profiles are
 * not applied: positions, not colours, are measured.
 *
 * @throws InputError naming the file, what is wrong with it and what to do
 */
export async function decodePhotoFile(file: PhotoFile): Promise<Photo> {
  const { kind, orientation, facts } = inspectPhotoFile(file);
  const turnedHere = (kind === 'png' || kind === 'webp') && orientation !== 1;
  const bytes = turnedHere ? withoutExifChunk(file.bytes, kind) : file.bytes;
  const bitmap = await openBitmap(bytes).catch(() => {
    throw new InputError(kind === 'heic' ? heicMessage(file.name) : damagedMessage(file.name));
  });
  try {
    return { ...readPlanes(file.name, bitmap, turnedHere ? orientation : 1), ...facts };
  } finally {
    bitmap.close();
  }
}

function readPlanes(name: string, bitmap: ImageBitmap, orientation: number): Photo {
  const [width, height] = orientation < 5 ? [bitmap.width, bitmap.height] : [bitmap.height, bitmap.width];
  const photo = emptyPhoto(name, width, height);
  // Even, so that no 2 x 2 block is cut in two.
  const bandRows = Math.max(2, 2 * Math.floor(bandPixels / width / 2));
  const context = makeContext(width, Math.min(bandRows, height));
  if (!context) {
    throw new InputError(`${shownName(name)} cannot be read in this browser: update the browser, or use another one.`);
  }
  context.fillStyle = 'white';
  context.imageSmoothingEnabled = false;
  const [a, b, c, d, e, f] = uprightTransform(orientation, bitmap.width, bitmap.height);
  for (let row = 0; row < height; row += bandRows) {
    const rows = Math.min(bandRows, height - row);
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.fillRect(0, 0, width, rows);
    context.setTransform(a, b, c, d, e, f - row);
    context.drawImage(bitmap, 0, 0);
    writeBand(photo, context.getImageData(0, 0, width, rows).data, 4, row, rows);
  }
  // Gives the canvas's memory back at once: Safari otherwise keeps it until the next collection.
  context.canvas.width = 0;
  context.canvas.height = 0;
  return photo;
}

type Transform = readonly [a: number, b: number, c: number, d: number, e: number, f: number];

/** The canvas transform from the stored picture to the upright one, for each EXIF orientation. */
function uprightTransform(orientation: number, width: number, height: number): Transform {
  const transforms: Readonly<Record<number, Transform>> = {
    2: [-1, 0, 0, 1, width, 0],
    3: [-1, 0, 0, -1, width, height],
    4: [1, 0, 0, -1, 0, height],
    5: [0, 1, 1, 0, 0, 0],
    6: [0, 1, -1, 0, height, 0],
    7: [0, -1, -1, 0, height, width],
    8: [0, -1, 1, 0, 0, width],
  };
  return transforms[orientation] ?? [1, 0, 0, 1, 0, 0];
}

function openBitmap(bytes: Uint8Array): Promise<ImageBitmap> {
  // A Blob takes no view of shared memory.
  const owned =
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
