import sharp, { type Sharp } from 'sharp';
import { beforeAll, describe, expect, test } from 'vitest';
import { tilePage } from '../../src/mat/mat_pages.ts';
import { pageSvg } from '../../src/mat/mat_svg.ts';
import { paperSizes, tagCorners } from '../../src/mat/tile.ts';
import type { LumaImage, SeenTag } from '../../src/photo/edge_blur.ts';
import { photoQuality } from '../../src/photo/quality.ts';
import { seededNormal } from '../world/seeded_random.ts';

const pixelsPerMm = 4;
const { width: paperWidth, height: paperHeight } = paperSizes.A4;
/** The part of the page that is looked at: three tags of the top row, mm from the page's centre. */
const part = { left: -130, top: 100, width: 160, height: 60 };
const tags: SeenTag[] = [0, 1, 2].map((id) => {
  const at = ([u, v]: readonly [number, number]) =>
    [(u - part.left) * pixelsPerMm - 0.5, (part.top - v) * pixelsPerMm - 0.5] as const;
  const [a, b, c, d] = tagCorners(id)!;
  return { id, corners: [at(a), at(b), at(c), at(d)] };
});

let sharpPage: LumaImage;
beforeAll(async () => {
  const svg = pageSvg(tilePage('A4', 0, 1)).replace(
    /width="297mm" height="210mm"/,
    `width="${paperWidth * pixelsPerMm}" height="${paperHeight * pixelsPerMm}"`,
  );
  sharpPage = await fromSharp(
    sharp(Buffer.from(svg))
      .extract({
        left: (part.left + paperWidth / 2) * pixelsPerMm,
        top: (paperHeight / 2 - part.top) * pixelsPerMm,
        width: part.width * pixelsPerMm,
        height: part.height * pixelsPerMm,
      })
      .flatten({ background: 'white' }),
  );
});

async function fromSharp(image: Sharp): Promise<LumaImage> {
  const { data, info } = await image.greyscale().raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, luma: new Uint8Array(data) };
}

/** The page as a camera would give it: paper 225, ink 35, blurred by a Gaussian, with noise of 3 grey levels. */
function photographed(sigmaX: number, sigmaY: number, paper = 225, ink = 35): LumaImage {
  const { width, height, luma } = sharpPage;
  const blurred = gaussian(gaussian(Float32Array.from(luma), width, height, sigmaX, 1), width, height, sigmaY, width);
  const noise = seededNormal(1);
  const out = Uint8ClampedArray.from(blurred, (value) => ink + ((paper - ink) * value) / 255 + 3 * noise());
  return { width, height, luma: new Uint8Array(out) };
}

function gaussian(values: Float32Array, width: number, height: number, sigma: number, stride: number): Float32Array {
  if (sigma === 0) return values;
  const reach = Math.ceil(4 * sigma);
  const weights = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const limit = stride === 1 ? width : height;
  return values.map((_, at) => {
    const place = stride === 1 ? at % width : Math.floor(at / width);
    let sum = 0;
    for (let k = -reach; k <= reach; k++) {
      const clamped = Math.min(Math.max(place + k, 0), limit - 1);
      sum += weights[k + reach]! * values[at + (clamped - place) * stride]!;
    }
    return sum / total;
  });
}

const kinds = (image: LumaImage, seen: readonly SeenTag[] | undefined = tags, kind: 'photo' | 'frame' = 'frame') =>
  photoQuality(image, seen, kind)
    .problems.map((problem) => problem.kind)
    // The part of the page shows 160 mm of paper, which is too close for a rod and right for these tests.
    .filter((problem) => problem !== 'too-close' || image.width > part.width * pixelsPerMm);

describe('sharpness', () => {
  test('a known Gaussian blur is measured, with tags and without', () => {
    for (const sigma of [1, 1.8, 3]) {
      const image = photographed(sigma, sigma);
      // Noise passes for steepness: over four pixels of a step of 190 levels it adds a tenth, on single ones a quarter.
      expect(photoQuality(image, tags).blur! / sigma).toBeGreaterThan(0.85);
      expect(photoQuality(image, tags).blur! / sigma).toBeLessThan(1.1);
      expect(photoQuality(image, undefined).blur! / sigma).toBeGreaterThan(0.7);
      expect(photoQuality(image, undefined).blur! / sigma).toBeLessThan(1.2);
    }
  });

  test('a sharp image passes, a soft one is told from a moved one', () => {
    expect(kinds(photographed(0.8, 0.8))).toEqual([]);
    expect(kinds(photographed(3, 3))).toEqual(['blurred']);
    expect(kinds(photographed(4, 0.8))).toEqual(['moved']);
    expect(kinds(photographed(0.8, 4))).toEqual(['moved']);
    expect(kinds(photographed(4, 0.8), undefined)).toEqual(['moved']);
  });

  test('it is unusable when the blur drowns the cells, or when nothing could be read', () => {
    const [soft] = photoQuality(photographed(3, 3), tags).problems;
    expect(soft).toMatchObject({ unusable: false, message: expect.stringMatching(/^Blurred: .*hold the phone still/) });
    expect(photoQuality(photographed(3, 3), []).problems[0]).toMatchObject({ unusable: true });
    const [hopeless] = photoQuality(photographed(4.5, 4.5), tags).problems;
    expect(hopeless).toMatchObject({ unusable: true, message: expect.stringMatching(/^Too blurred to read/) });
  });

  test("tag corners a pixel off, as a stream's quick look gives them, change little", () => {
    const image = photographed(1.5, 1.5);
    const rough = tags.map((tag) => ({
      ...tag,
      corners: tag.corners.map(
        ([x, y], i) => [x + (i % 2 ? 1 : -1), y + (i < 2 ? -1 : 1)] as const,
      ) as unknown as SeenTag['corners'],
    }));
    expect(photoQuality(image, rough).blur! / photoQuality(image, tags).blur!).toBeCloseTo(1, 1);
  });
});

describe('light', () => {
  test('paper and ink levels are those beside the tags', () => {
    const quality = photoQuality(photographed(0.8, 0.8, 200, 60), tags);
    expect(Math.abs(quality.paper - 200)).toBeLessThan(3);
    expect(quality.pixelsPerMm).toBeCloseTo(pixelsPerMm, 6);
  });

  test('too dark, too bright and too flat each have their reason', () => {
    expect(kinds(photographed(0.8, 0.8, 80, 10))).toEqual(['dark']);
    expect(kinds(photographed(0.8, 0.8, 80, 10), undefined)).toEqual(['dark']);
    expect(kinds(photographed(0.8, 0.8, 300, 80))).toEqual(['bright']);
    expect(kinds(photographed(0.8, 0.8, 190, 160))).toEqual(['flat']);
    expect(photoQuality(photographed(0.8, 0.8, 40, 5), tags).problems[0]).toMatchObject({
      kind: 'dark',
      unusable: true,
    });
  });

  test('glare is measured as the share that is blown out', () => {
    const image = photographed(0.8, 0.8);
    for (let y = 145; y < 205; y++) image.luma.fill(255, y * image.width + 100, y * image.width + 300);
    const quality = photoQuality(image, tags);
    const share = (60 * 200) / (image.width * image.height);
    expect(quality.blownOut).toBeCloseTo(share, 2);
    expect(quality.problems.map((problem) => problem.kind)).toContain('glare');
    expect(quality.problems.find((problem) => problem.kind === 'glare')!.message).toMatch(
      /^Glare over 8 % of the photo/,
    );
  });
});

describe('size', () => {
  test('a photo that shows little more than a page is too close', () => {
    const seen = (side: number): SeenTag[] => [
      {
        id: 3,
        corners: [
          [100, 100],
          [100 + side, 100],
          [100 + side, 100 + side],
          [100, 100 + side],
        ],
      },
    ];
    const frame = { width: 1280, height: 720, luma: new Uint8Array(1280 * 720).fill(200) };
    // 1280 pixels over 300 mm and over 400 mm of paper, a tag being 24 mm.
    expect(kinds(frame, seen((24 * 1280) / 300))).toContain('too-close');
    expect(kinds(frame, seen((24 * 1280) / 400))).not.toContain('too-close');
  });

  test('a photo with few pixels says so, a frame need not have many', () => {
    expect(kinds(photographed(0.8, 0.8), tags, 'photo')).toEqual(['few-pixels']);
    expect(kinds(photographed(0.8, 0.8), tags, 'frame')).toEqual([]);
  });

  test('a photo from too far away says so', () => {
    const far = { width: 4000, height: 3000, luma: new Uint8Array(12e6).fill(200) };
    const small: SeenTag[] = [
      {
        id: 3,
        corners: [
          [100, 100],
          [118, 100],
          [118, 118],
          [100, 118],
        ],
      },
    ];
    expect(kinds(far, small, 'photo')).toContain('too-far');
    // The seat card's tags are smaller than the mat's: 18 pixels on them are a pixel a millimetre.
    const card: SeenTag[] = [
      {
        id: 580,
        corners: [
          [100, 100],
          [119, 100],
          [119, 119],
          [100, 119],
        ],
      },
    ];
    expect(kinds(far, card, 'photo')).not.toContain('too-far');
  });
});

test('an empty wall has no edges and no reason but what light tells', () => {
  const wall = { width: 640, height: 480, luma: new Uint8Array(640 * 480).fill(140) };
  expect(photoQuality(wall, [], 'frame')).toEqual({ paper: 140, blownOut: 0, problems: [] });
});
