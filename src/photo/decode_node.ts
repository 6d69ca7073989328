import sharp from 'sharp';
import { emptyPhoto, writeBand } from './luma.ts';
import type { Photo, PhotoFile } from './photo.ts';

// libvips would keep decoded tiles of past photos; each photo is decoded once.
sharp.cache(false);

/**
 * A photo file to upright pixels, in Node (by libvips through sharp). EXIF orientation is applied here and nowhere after.
 * Colour profiles are not applied: positions, not colours, are measured.
 */
export async function decodePhotoFile(file: PhotoFile): Promise<Photo> {
  const { data, info } = await sharp(file.bytes, { autoOrient: true, ignoreIcc: true, failOn: 'truncated' })
    .flatten({ background: 'white' })
    .raw({ depth: 'uchar' })
    .toBuffer({ resolveWithObject: true });
  const channels = info.channels === 1 || info.channels === 4 ? info.channels : 3;
  const photo = emptyPhoto(file.name, info.width, info.height);
  writeBand(photo, data, channels, 0, info.height);
  return photo;
}
