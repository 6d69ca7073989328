import sharp from 'sharp';
import { InputError } from '../plan/input_error.ts';
import { damagedMessage, heicMessage, inspectPhotoFile, maximumPixels } from './inspect_photo.ts';
import { emptyPhoto, writeBand } from './luma.ts';
import type { Photo, PhotoFile } from './photo.ts';

// libvips would keep decoded pixels of past photos; each photo is decoded once.
sharp.cache(false);

/**
 * A photo file to upright pixels, in Node (by libvips through sharp). EXIF orientation is applied here and nowhere
 * after. Colour profiles are not applied: positions, not colours, are measured.
 *
 * @throws InputError naming the file, what is wrong with it and what to do
 */
export async function decodePhotoFile(file: PhotoFile): Promise<Photo> {
  const { kind, facts } = inspectPhotoFile(file);
  const { data, info } = await decodeUpright(file.bytes).catch(() => {
    throw new InputError(kind === 'heic' ? heicMessage(file.name) : damagedMessage(file.name));
  });
  const channels = info.channels === 1 || info.channels === 4 ? info.channels : 3;
  const photo = emptyPhoto(file.name, info.width, info.height);
  writeBand(photo, data, channels, 0, info.height);
  return { ...photo, ...facts };
}

const decodeUpright = (bytes: Uint8Array) =>
  sharp(bytes, { autoOrient: true, ignoreIcc: true, failOn: 'warning', limitInputPixels: maximumPixels })
    .flatten({ background: 'white' })
    .raw({ depth: 'uchar' })
    .toBuffer({ resolveWithObject: true });
