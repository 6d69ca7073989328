import { copyFileSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import sharp from 'sharp';
import type { Photo } from '../../src/photo/photo.ts';
import { layTiles, trueReadings, walk, type World } from './world.ts';
import { renderPhoto } from './world_raster.ts';
import { makeRod, type RodGuide, type RodOptions } from './world_rod.ts';

/** How a long walk is drawn. */
export interface LongWalk {
  photos: number;
  /** pixels; the height is three quarters of it */
  width: number;
  /** of the camera over the bench, mm */
  distance: number;
  /** of the rod, mm; it carries a guide every 150 mm or so */
  length: number;
}

const page = 297;

/** A rod on blocks with a guide every 150 mm, all of them where the plan will have them. */
function rodOf(length: number): RodOptions & { guides: RodGuide[] } {
  const guides = Array.from({ length: Math.floor((length - 60) / 150) }, (_, i): RodGuide => {
    const outer = 8 + 1.4 * i;
    const roll = [0.6, -0.8, 0.3, 0.5, -0.4][i % 5]!;
    return { at: 110 + 150 * i, roll, outer, inner: 0.72 * outer, height: 7 + 1.6 * i, lean: 4 };
  });
  const buttRadius = 1.4 + length / 500;
  return { length, tipRadius: 0.9, buttRadius, tipHeight: 28, buttHeight: 28, side: -3, skew: 0.002, guides };
}

/**
 * Draws a walk of many photos along a rod without a fault and writes it as a folder that the command line checks: each
 * photo from a place of its own, a small step further and tilted another way than the one before.
 */
export async function writeLongWalk(folder: string, { photos, width, distance, length }: LongWalk): Promise<void> {
  const rod = rodOf(length);
  const tiles = Math.ceil((length + 60) / page);
  const world: World = {
    ...layTiles({ tiles }),
    cameras: walk({ photos, from: 40, to: length - 40, distance, width, height: Math.round(0.75 * width) }),
  };
  const names = world.cameras.map((_, i) => `photos/${String(i + 1).padStart(3, '0')}.jpg`);
  mkdirSync(join(folder, 'photos'), { recursive: true });
  const plan = {
    schema: 'prewrap.plan/1',
    title: 'A long walk',
    unit: 'mm',
    datum: 'blank-tip',
    blank: { length, tipDiameter: 2 * rod.tipRadius, buttDiameter: 2 * rod.buttRadius, finish: 'dark' },
    positions: rod.guides.map(({ at, outer, inner, height, lean }, i) => ({
      id: `G${i + 1}`,
      kind: 'guide',
      at,
      guide: { ringOuter: outer, ringInner: inner, height, lean, foot: 'single' },
    })),
    tolerance: { along: 1.5, roll: 3 },
  };
  const shoot = {
    schema: 'prewrap.shoot/1',
    stage: 'rings',
    photos: names,
    mat: trueReadings(world, { fromTag: 0, toTag: 10 * tiles - 6 }),
    rest: { kind: 'blocks', axisHeight: rod.buttHeight },
    rollReference: 'guides',
  };
  writeFileSync(join(folder, 'plan.json'), JSON.stringify(plan));
  writeFileSync(join(folder, 'shoot.json'), JSON.stringify(shoot));
  const drawn = makeRod(rod);
  for (const [i, shot] of world.cameras.entries()) {
    const photo = renderPhoto(world, shot, { rod: drawn, seed: i + 1 });
    writeFileSync(join(folder, names[i]!), await jpegOf(photo));
  }
}

/** Every so many photos of a drawn walk, as a folder of its own: tilted every way as those of the whole are. */
export function thinLongWalk(folder: string, into: string, every: 2 | 4 | 8): void {
  const shoot = JSON.parse(readFileSync(join(folder, 'shoot.json'), 'utf8')) as { photos: string[] };
  // four ways to tilt, one after the other
  const shifted = (i: number) => every * i + (every === 2 ? (i >> 1) & 1 : i % 4);
  const photos = shoot.photos.flatMap((_, i) => shoot.photos[shifted(i)] ?? []);
  mkdirSync(join(into, 'photos'), { recursive: true });
  copyFileSync(join(folder, 'plan.json'), join(into, 'plan.json'));
  writeFileSync(join(into, 'shoot.json'), JSON.stringify({ ...shoot, photos }));
  for (const photo of photos) copyFileSync(join(folder, photo), join(into, photo));
}

/** A photo as a phone would write it: JPEG with the focal length in its EXIF. */
function jpegOf({ width, height, luma, blueDifference, redDifference }: Photo): Promise<Buffer> {
  const rgb = Buffer.alloc(3 * width * height);
  const half = Math.ceil(width / 2);
  const level = (v: number) => Math.min(Math.max(Math.round(v), 0), 255);
  for (let i = 0; i < luma.length; i++) {
    const colour = (Math.floor(i / width) >> 1) * half + ((i % width) >> 1);
    const [b, r] = [blueDifference[colour]! - 128, redDifference[colour]! - 128];
    // JFIF (ITU-T T.871): from luma and colour differences to red, green, blue.
    rgb[3 * i] = level(luma[i]! + 1.402 * r);
    rgb[3 * i + 1] = level(luma[i]! - 0.344136 * b - 0.714136 * r);
    rgb[3 * i + 2] = level(luma[i]! + 1.772 * b);
  }
  return sharp(rgb, { raw: { width, height, channels: 3 } })
    .withExif({ IFD0: { Make: 'Made', Model: 'Up' }, IFD2: { FocalLengthIn35mmFilm: '26' } })
    .jpeg({ quality: 88 })
    .toBuffer();
}
