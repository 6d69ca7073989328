import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test, vi } from 'vitest';
import { project } from '../../src/geometry/camera.ts';
import type { Pixel, Vector3 } from '../../src/geometry/vector.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { decodePhotoFile } from '../../src/photo/decode_node.ts';
import { detectTagQuads, allWindows } from '../../src/vision/opencv.ts';
import { type GreyImage, halve } from '../../src/vision/sampling.ts';
import { explainNoTags, readTags, refineTag, type Tag } from '../../src/vision/tags.ts';
import { smallTagRegion } from '../../src/vision/small_tags.ts';
import { openCv } from './open_cv.ts';
import { cornersInWorld, layTiles, lookAt, type World, type WorldCamera } from '../world/world.ts';
import { renderPhoto } from '../world/world_raster.ts';

// Drawing the photos takes most of the time.
vi.setConfig({ testTimeout: 60_000, hookTimeout: 60_000 });

const still = { tiles: layTiles({ tiles: 1, turn: 2 }).tiles, printScale: { along: 1, across: 1 } };

/** One page from a distance and a direction; the photo is `width` across. */
function shotOf(from: Vector3, width = 1280, height = 900): { world: World; shot: WorldCamera } {
  const tile = still.tiles[0]!;
  const camera = lookAt(
    { focal: 0.74 * width, centre: [(width - 1) / 2, (height - 1) / 2], distortion: [0, 0, 0, 0, 0] },
    [tile.x + from[0], tile.y + from[1], from[2]],
    [tile.x, tile.y, 0],
    [1, 0.13, 0],
  );
  const shot = { camera, width, height };
  return { world: { ...still, cameras: [shot] }, shot };
}

/** Differences read minus true, by corner. */
function errors(
  world: World,
  { camera }: WorldCamera,
  tags: readonly Tag[],
): { radial: number[]; x: number[]; y: number[] } {
  const out = { radial: [] as number[], x: [] as number[], y: [] as number[] };
  for (const tag of tags) {
    const truth = cornersInWorld(world, tag.id)!.map((p) => project(camera, p)!);
    const middle: Pixel = [truth.reduce((a, p) => a + p[0], 0) / 4, truth.reduce((a, p) => a + p[1], 0) / 4];
    truth.forEach((p, i) => {
      const [dx, dy] = [tag.corners[i]![0] - p[0], tag.corners[i]![1] - p[1]];
      const [rx, ry] = [p[0] - middle[0], p[1] - middle[1]];
      out.x.push(dx);
      out.y.push(dy);
      out.radial.push((dx * rx + dy * ry) / Math.hypot(rx, ry));
    });
  }
  return out;
}

interface DrawingOpenCv {
  Mat: new () => { data: Uint8Array; rows: number; delete(): void };
  getPredefinedDictionary(which: number): {
    generateImageMarker(id: number, side: number, into: object, border: number): void;
  };
}

/** Tags of one family in a row on white paper, 64 px each, as OpenCV draws them. */
async function drawnTags(family: string, ids: readonly number[]): Promise<GreyImage> {
  const { cv } = await openCv<DrawingOpenCv>();
  const dictionary = cv.getPredefinedDictionary((cv as unknown as Record<string, number>)[family]!);
  const pitch = 120;
  const image = {
    width: pitch * ids.length,
    height: pitch,
    luma: new Uint8Array(pitch * pitch * ids.length).fill(230),
  };
  ids.forEach((id, i) => {
    const marker = new cv.Mat();
    dictionary.generateImageMarker(id, 64, marker, 1);
    for (let y = 0; y < 64; y++)
      for (let x = 0; x < 64; x++)
        image.luma[(y + 28) * image.width + pitch * i + 28 + x] = marker.data[64 * y + x]! > 0 ? 230 : 25;
    marker.delete();
  });
  return image;
}

const mean = (values: readonly number[]) => values.reduce((a, b) => a + b, 0) / values.length;
const rms = (values: readonly number[]) => Math.sqrt(mean(values.map((v) => v * v)));

describe('corners of drawn tags, light falling linearly', () => {
  const views: [string, Vector3][] = [
    ['from above', [8, -5, 330]],
    ['from the side', [30, -210, 300]],
    ['from the end', [190, 40, 300]],
  ];
  test.each([0.5, 0.9, 1.3])('blur %f px: no bias, 0.1 px rms', async (blur) => {
    const all = { radial: [] as number[], x: [] as number[], y: [] as number[] };
    for (const [name, from] of views) {
      const { world, shot } = shotOf(from);
      const photo = renderPhoto(world, shot, { encoding: 'linear', blur, noise: 2, seed: 3 });
      const { tags } = await readTags(photo);
      // One tag may go unread in strong blur; what is read must be right.
      expect(tags.length, name).toBeGreaterThanOrEqual(blur > 1 ? 9 : 10);
      const own = errors(world, shot, tags);
      for (const k of ['radial', 'x', 'y'] as const) all[k].push(...own[k]);
    }
    // A blur of a sixth of a cell carries white cells' light into the black border: a tag then seems larger by this
    // much, which the adjustment's own bleed takes up. Its place does not move.
    expect(Math.abs(mean(all.radial)), 'mean radial').toBeLessThan(blur > 1 ? 0.04 : 0.02);
    for (const k of ['x', 'y'] as const) expect(Math.abs(mean(all[k])), `mean ${k}`).toBeLessThan(0.02);
    expect(rms(all.x)).toBeLessThan(0.1);
    expect(rms(all.y)).toBeLessThan(0.1);
  });

  test('a tag says how well it was read: within a factor of its real error', async () => {
    const { world, shot } = shotOf([8, -5, 330]);
    const { tags } = await readTags(renderPhoto(world, shot, { encoding: 'linear', blur: 0.7, noise: 6, seed: 4 }));
    const own = errors(world, shot, tags);
    const said = mean(tags.map((t) => t.sigma));
    const real = rms([...own.x, ...own.y]);
    expect(said / real).toBeGreaterThan(0.4);
    expect(said / real).toBeLessThan(2.5);
  });

  test('half a pixel stays half a pixel: the halved photo reads the same corners at (x - 0.5) / 2', async () => {
    const { world, shot } = shotOf([8, -5, 330], 1600, 1160);
    const photo = renderPhoto(world, shot, { encoding: 'linear', blur: 0.9, noise: 1 });
    const full = (await readTags(photo)).tags;
    const half = (await readTags(halve(photo))).tags;
    expect(half.length).toBe(10);
    const shifts = half.flatMap((tag) => {
      const twin = full.find((t) => t.id === tag.id)!;
      return tag.corners.flatMap(([x, y], i) => [
        x - (twin.corners[i]![0] - 0.5) / 2,
        y - (twin.corners[i]![1] - 0.5) / 2,
      ]);
    });
    expect(Math.abs(mean(shifts))).toBeLessThan(0.015);
    expect(rms(shifts)).toBeLessThan(0.06);
    expect(rms(errors(world, shot, full).x)).toBeLessThan(0.06);
  });

  test('light coded as sRGB lets white bleed over black: every corner moves inward alike, the tag stays where it is', async () => {
    const { world, shot } = shotOf([8, -5, 330]);
    const photo = renderPhoto(world, shot, { encoding: 'srgb', blur: 0.9, noise: 1.5 });
    const own = errors(world, shot, (await readTags(photo)).tags);
    expect(mean(own.radial)).toBeLessThan(-0.1);
    expect(Math.abs(mean(own.x))).toBeLessThan(0.02);
    expect(Math.abs(mean(own.y))).toBeLessThan(0.02);
    const scatter = rms(own.radial.map((r) => r - mean(own.radial)));
    expect(scatter).toBeLessThan(0.06);
  });
});

/**
 * Three photographs with the corners that the AprilTag library's own tests expect (fixtures/apriltag). Those are that
 * library's output without edge refinement, where a quad's lines are fitted to a threshold's boundary: no measured
 * truth, and known to differ from edge-refined corners by 0.2 to 0.6 px rms. So the corners agree to that, and their
 * mean does to a tenth of a pixel once the half pixel between the conventions is taken off: that is what is locked
 * here.
 */
describe('the AprilTag test photographs', () => {
  const names = ['33369213973_9d9bb4cc96_c', '34085369442_304b6bafd9_c', '34139872896_defdb2f8d9_c'];
  const file = (name: string) => new URL(`../../fixtures/apriltag/${name}`, import.meta.url);
  const published = (name: string): Pixel[][] =>
    readFileSync(file(`${name}.txt`), 'utf8')
      .trim()
      .split('\n')
      .map((line) =>
        [...line.matchAll(/\(([\d.]+) ([\d.]+)\)/g)].map((m): Pixel => [Number(m[1]) - 0.5, Number(m[2]) - 0.5]),
      );
  const centre = (corners: readonly Pixel[]): Pixel => [mean(corners.map((c) => c[0])), mean(corners.map((c) => c[1]))];
  const distance = (a: Pixel, b: Pixel) => Math.hypot(a[0] - b[0], a[1] - b[1]);

  let pairs: { found: number; refined: number; of: number; dx: number[]; dy: number[] }[] = [];
  beforeAll(async () => {
    pairs = [];
    for (const name of names) {
      const photo = await decodePhotoFile({ name, bytes: readFileSync(file(`${name}.jpg`)) });
      const found = await detectTagQuads(photo.luma, photo.width, photo.height, 'tag36h11', allWindows);
      expect(found.every((tag) => tag.id === 0)).toBe(true);
      const refined = found.map((quad) => ({ quad, tag: refineTag(photo, quad) }));
      const own = { found: 0, refined: 0, of: 0, dx: [] as number[], dy: [] as number[] };
      for (const truth of published(name)) {
        own.of++;
        const middle = centre(truth);
        const twin = refined.find(({ quad }) => distance(centre(quad.corners), middle) < 3);
        if (!twin) continue;
        own.found++;
        if (!twin.tag) continue;
        own.refined++;
        const { corners } = twin.tag;
        for (const corner of truth) {
          const near = [...corners].sort((a, b) => distance(a, corner) - distance(b, corner))[0]!;
          own.dx.push(near[0] - corner[0]);
          own.dy.push(near[1] - corner[1]);
        }
      }
      pairs.push(own);
    }
  });

  test('tags of 17 pixels and more are found where the library finds them; smaller ones are no use to a mat', () => {
    expect(pairs.map((p) => p.of)).toEqual([12, 25, 10]);
    const [first, second, third] = pairs.map((p) => p.found);
    expect(first).toBeGreaterThanOrEqual(10);
    // Most of these are 16 to 19 px across: a cell has two pixels.
    expect(second).toBeGreaterThanOrEqual(9);
    expect(third).toBeGreaterThanOrEqual(7);
    // An edge that cannot be made out takes its tag with it, never its neighbours' truth.
    for (const p of pairs) expect(p.refined).toBeGreaterThan(0.7 * p.found);
  });

  test('corners agree to the two methods’ known difference, their mean to a tenth of a pixel', () => {
    const dx = pairs.flatMap((p) => p.dx);
    const dy = pairs.flatMap((p) => p.dy);
    expect(rms(dx)).toBeLessThan(0.6);
    expect(rms(dy)).toBeLessThan(0.6);
    expect(Math.abs(mean(dx))).toBeLessThan(0.1);
    expect(Math.abs(mean(dy))).toBeLessThan(0.1);
  });

  test('as photos of a mat they say that one tag shows at many places', async () => {
    const photo = await decodePhotoFile({ name: 'a.jpg', bytes: readFileSync(file(`${names[2]}.jpg`)) });
    const reading = await readTags(photo);
    expect(reading.twice).toEqual([0]);
    expect(reading.tags).toEqual([]);
  });
});

describe('photos that are not of the mat', () => {
  const { world, shot } = shotOf([8, -5, 330]);
  let photo: Photo;
  beforeAll(() => {
    photo = renderPhoto(world, shot, { encoding: 'srgb' });
  });

  const mirror = (image: GreyImage): GreyImage => ({
    ...image,
    luma: image.luma.map((_, i) => {
      const y = Math.floor(i / image.width);
      return image.luma[(y + 1) * image.width - 1 - (i - y * image.width)]!;
    }),
  });

  test('mirrored left for right: no tags, and the reason', async () => {
    const flipped = mirror(photo);
    expect((await readTags(flipped)).tags).toEqual([]);
    expect(await explainNoTags(flipped)).toBe('mirrored');
  });

  test('a page printed twice: its tags are left out and named', async () => {
    const again = { ...still.tiles[0]!, x: still.tiles[0]!.x + 300 };
    const two = { ...world, tiles: [...world.tiles, again] };
    const above = shotOf([150, 0, 560]).shot;
    const reading = await readTags(renderPhoto(two, above, {}));
    expect(reading.twice.length).toBeGreaterThan(3);
    expect(reading.tags.every((t) => !reading.twice.includes(t.id))).toBe(true);
  });

  test('ids of the family that no page carries are foreign', async () => {
    const reading = await readTags(await drawnTags('DICT_APRILTAG_36h11', [582, 586, 3]));
    expect(reading.foreign.sort((a, b) => a - b)).toEqual([582, 586]);
    expect(reading.tags.map((t) => t.id)).toEqual([3]);
  });

  test('tags of another family are told from no tags', async () => {
    const other = await drawnTags('DICT_5X5_1000', [1, 7, 12, 30, 55, 80]);
    expect((await readTags(other)).tags).toEqual([]);
    expect(await explainNoTags(other)).toBe('other-family');
    const empty: GreyImage = { width: 600, height: 400, luma: new Uint8Array(240000).fill(190) };
    expect(await explainNoTags(empty)).toBe('none');
  });
});

describe('where tags may be too small to show at half size', () => {
  const photo = { width: 4000, height: 3000, luma: new Uint8Array(0) };
  const quad = (x: number, y: number, side: number) => ({
    id: 0,
    corners: [
      [x, y],
      [x + side, y],
      [x + side, y + side],
      [x, y + side],
    ] as [[number, number], [number, number], [number, number], [number, number]],
  });
  /** Two rows of five tags whose sides halve from left to right. */
  const rows = (largest: number) =>
    [0, 1, 2, 3, 4].flatMap((k) => [600, 2000].map((y) => quad(200 + 500 * k, y, largest * 0.5 ** (k / 4))));

  test('nowhere where those found are large; everywhere where none was found, or too few to tell', () => {
    expect(smallTagRegion(rows(200), photo)).toBeUndefined();
    const whole = { left: 0, top: 0, right: 4000, bottom: 3000 };
    expect(smallTagRegion([], photo)).toEqual(whole);
    expect(smallTagRegion(rows(100).slice(6), photo)).toEqual(whole);
  });

  test('no farther beside the row of pages than another page may lie', () => {
    const row = [0, 1, 2, 3, 4, 5].flatMap((k) => [1300, 1600].map((y) => quad(300 + 400 * k, y, 50)));
    const region = smallTagRegion(row, photo)!;
    expect([region.left, region.right]).toEqual([0, 4000]);
    // The band is 350 pixels broad: half of that and a cell more on either side, in cells whose middle lies there.
    expect(region.top).toBeGreaterThan(1029);
    expect(region.top).toBeLessThanOrEqual(1093);
    expect(region.bottom).toBeGreaterThanOrEqual(1857);
    expect(region.bottom).toBeLessThan(1921);
  });

  test('on the far side, with what lies beyond the last of them', () => {
    const region = smallTagRegion(rows(100), photo)!;
    // Sides of 70 lie half-way between those of 100 and 50, at 1250 of 250 to 2225.
    expect(region.left).toBeGreaterThan(1000);
    expect(region.left).toBeLessThan(1350);
    expect({ ...region, left: 0 }).toEqual({ left: 0, top: 0, right: 4000, bottom: 3000 });
  });
});
