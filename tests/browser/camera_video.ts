import { appendFile, writeFile } from 'node:fs/promises';
import sharp from 'sharp';

const [width, height] = [1920, 1080];

/**
 * Writes photos as a YUV4MPEG2 video for Chromium's fake camera, one frame a second, played round and round: each photo
 * cut to the stream's shape and size, and darkened where `brightness` is below 1.
 */
export async function writeCameraVideo(file: string, photos: readonly string[], brightness = 1): Promise<void> {
  const frames = new Map<string, Buffer>();
  for (const photo of new Set(photos)) {
    const rgb = await sharp(photo).rotate().resize(width, height, { fit: 'cover' }).removeAlpha().raw().toBuffer();
    frames.set(photo, planes(rgb, { width, height }, brightness));
  }
  const head = Buffer.from(`YUV4MPEG2 W${width} H${height} F1:1 Ip A1:1 C420mpeg2\n`);
  const mark = Buffer.from('FRAME\n');
  await writeFile(file, Buffer.concat([head, ...photos.flatMap((photo) => [mark, frames.get(photo)!])]));
}

/** How a walk is filmed: frames a second, and how many of them each photo is held for and the way to the next takes. */
const filming = { rate: 4, held: 12, moving: 4 } as const;

/**
 * Writes photos as such a video that moves along them: each held for three seconds, then on to the next within one, as
 * smeared as a hand's move makes it.
 */
export async function writeMovingVideo(file: string, photos: readonly string[]): Promise<void> {
  const filmed = async (photo: string, smear?: number) => {
    const upright = sharp(photo).rotate().resize(width, height, { fit: 'cover' }).removeAlpha();
    const rgb = await (smear === undefined ? upright : upright.blur(smear)).raw().toBuffer();
    return planes(rgb, { width, height });
  };
  const head = Buffer.from(`YUV4MPEG2 W${width} H${height} F${filming.rate}:1 Ip A1:1 C420mpeg2\n`);
  const mark = Buffer.from('FRAME\n');
  await writeFile(file, head);
  for (const [i, photo] of photos.entries()) {
    const still = await filmed(photo);
    const [left, right] = [await filmed(photo, smeared), await filmed(photos[(i + 1) % photos.length]!, smeared)];
    const frames = Array.from({ length: filming.held + filming.moving }, (_, k) => {
      if (k < filming.held) return still;
      return k < filming.held + filming.moving / 2 ? left : right;
    });
    await appendFile(file, Buffer.concat(frames.flatMap((frame) => [mark, frame])));
  }
}

/** A move's smear, as the deviation of a Gaussian in pixels: squares are not read through it. */
const smeared = 24;

/** Y at full size, then Cb and Cr at half size, in video range (ITU-R BT.601). */
export function planes(rgb: Buffer, { width, height }: { width: number; height: number }, brightness = 1): Buffer {
  const out = Buffer.alloc((width * height * 3) / 2);
  const [blue, red] = [width * height, (width * height * 5) / 4];
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = 3 * (y * width + x);
      const [r, g, b] = [rgb[at]! * brightness, rgb[at + 1]! * brightness, rgb[at + 2]! * brightness];
      out[y * width + x] = 16 + 0.257 * r + 0.504 * g + 0.098 * b;
      if (x % 2 === 0 && y % 2 === 0) {
        const half = (y / 2) * (width / 2) + x / 2;
        out[blue + half] = 128 - 0.148 * r - 0.291 * g + 0.439 * b;
        out[red + half] = 128 + 0.439 * r - 0.368 * g - 0.071 * b;
      }
    }
  }
  return out;
}
