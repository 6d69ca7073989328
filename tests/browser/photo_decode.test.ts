import { fileURLToPath } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import sharp from 'sharp';
import { build } from 'vite';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { decodePhotoFile } from '../../src/photo/decode_node.ts';
import { sharedBrowser } from './app_page.ts';

/** The browser's decoder against Node's, on the same files: in a worker, and in a page without OffscreenCanvas. */

interface Decoded {
  width: number;
  height: number;
  luma: string;
  blueDifference: string;
  redDifference: string;
}
type Answer = { photo: Decoded } | { error: string; name: string };

let browser: Browser;
let page: Page;

async function decoderScript(): Promise<string> {
  const built = await build({
    configFile: false,
    logLevel: 'error',
    build: {
      write: false,
      lib: {
        entry: fileURLToPath(new URL('../../src/photo/decode_browser.ts', import.meta.url)),
        formats: ['iife'],
        name: 'decoder',
      },
    },
  });
  const [output] = (Array.isArray(built) ? built : [built]) as { output: { code: string }[] }[];
  return output!.output[0]!.code;
}

beforeAll(async () => {
  browser = await sharedBrowser();
  page = await browser.newPage();
  // As base64, since millions of numbers travel from the browser slowly as JSON.
  const text = `(bytes) => { let all = ''; for (let i = 0; i < bytes.length; i += 30000)
    all += String.fromCharCode(...bytes.subarray(i, i + 30000)); return btoa(all); }`;
  const answer = `async (file) => decoder.decodePhotoFile(file).then(
    ({ width, height, luma, blueDifference, redDifference }) => ({ photo: { width, height, luma: text(luma),
      blueDifference: text(blueDifference), redDifference: text(redDifference) } }),
    (error) => ({ error: error.message, name: error.name }))`;
  const script = `${await decoderScript()}\nconst text = ${text};\nself.answer = ${answer};`;
  await page.addScriptTag({ content: script });
  await page.evaluate((code) => {
    const worker = new Worker(
      URL.createObjectURL(new Blob([`${code}\nonmessage = async ({ data }) => postMessage(await answer(data));`])),
    );
    (self as unknown as { askWorker: (file: object) => Promise<unknown> }).askWorker = (file) =>
      new Promise((resolve) => {
        worker.onmessage = ({ data }) => resolve(data);
        worker.postMessage(file);
      });
  }, script);
});
afterAll(() => browser.close());

const decodeThere = (bytes: Uint8Array, where: 'worker' | 'page' = 'worker', name = 'photo.jpg'): Promise<Answer> =>
  page.evaluate(
    async ([text, on, fileName]) => {
      const sent = await fetch(`data:application/octet-stream;base64,${text}`);
      const file = { name: fileName, bytes: new Uint8Array(await sent.arrayBuffer()) };
      const scope = self as unknown as Record<'askWorker' | 'answer', (file: object) => Promise<Answer>>;
      if (on === 'worker') return scope.askWorker(file);
      const kept = self.OffscreenCanvas;
      Reflect.deleteProperty(self, 'OffscreenCanvas');
      const answer = await scope.answer(file);
      self.OffscreenCanvas = kept;
      return answer;
    },
    [Buffer.from(bytes).toString('base64'), where, name] as const,
  );

/**
 * A picture without any symmetry: waves that differ along both sides, in every colour. Each row is the one above with
 * whole levels added, so that a PNG of it is small on its way to the browser.
 */
function picture(width: number, height: number) {
  const pixels = new Uint8Array(width * height * 3);
  for (let i = 0; i < width * height; i++) {
    const x = i % width;
    const y = Math.floor(i / width);
    pixels[3 * i] = 128 + Math.round(60 * Math.sin(x / 17)) + Math.round(40 * Math.sin(y / 60));
    pixels[3 * i + 1] = Math.floor((200 * y) / height) + Math.floor((50 * x) / width);
    pixels[3 * i + 2] = 128 + 100 * Math.cos(y / 23);
  }
  return sharp(pixels, { raw: { width, height, channels: 3 } });
}

const largestDifference = (base64: string, b: Uint8Array): number => {
  const a = Buffer.from(base64, 'base64');
  expect(a.length).toBe(b.length);
  let largest = 0;
  for (let i = 0; i < a.length; i++) largest = Math.max(largest, Math.abs(a[i]! - b[i]!));
  return largest;
};

async function expectSame(bytes: Uint8Array, tolerance: number, where: 'worker' | 'page' = 'worker'): Promise<void> {
  const here = await decodePhotoFile({ name: 'photo.jpg', bytes });
  const there = await decodeThere(bytes, where);
  if (!('photo' in there)) throw new Error(there.error);
  expect([there.photo.width, there.photo.height]).toEqual([here.width, here.height]);
  expect(largestDifference(there.photo.luma, here.luma)).toBeLessThanOrEqual(tolerance);
  expect(largestDifference(there.photo.blueDifference, here.blueDifference)).toBeLessThanOrEqual(tolerance);
  expect(largestDifference(there.photo.redDifference, here.redDifference)).toBeLessThanOrEqual(tolerance);
}

describe('the same pixels as in Node', () => {
  // Two JPEG decoders may round and upsample differently by a few levels on a smooth picture.
  test.each([1, 2, 3, 4, 5, 6, 7, 8])('a JPEG of orientation %i', async (orientation) => {
    await expectSame(await picture(90, 61).jpeg({ quality: 95 }).withMetadata({ orientation }).toBuffer(), 4);
  });

  test.each([1, 2, 3, 4, 5, 6, 7, 8])('a PNG and a WebP of orientation %i', async (orientation) => {
    await expectSame(await picture(90, 61).png().withMetadata({ orientation }).toBuffer(), 0);
    await expectSame(await picture(90, 61).webp({ lossless: true }).withMetadata({ orientation }).toBuffer(), 0);
  });

  test('a photo of several bands has no seam, in a worker or in a page without OffscreenCanvas', async () => {
    const bytes = await picture(1601, 1403).png({ adaptiveFiltering: true }).toBuffer();
    await expectSame(bytes, 0);
    await expectSame(bytes, 0, 'page');
  });

  test('what is clear counts as white paper', async () => {
    const clear = await sharp({ create: { width: 8, height: 8, channels: 4, background: '#00000000' } })
      .png()
      .toBuffer();
    await expectSame(clear, 0);
  });

  test('an embedded colour profile changes nothing', async () => {
    await expectSame(await picture(90, 61).png().withIccProfile('p3').toBuffer(), 0);
  });
});

describe('files that cannot be used get the same sentence', () => {
  const refusal = async (bytes: Uint8Array, name: string) => {
    const there = await decodeThere(bytes, 'worker', name);
    if ('photo' in there) throw new Error('was decoded');
    expect(there.name).toBe('InputError');
    const here = await decodePhotoFile({ name, bytes }).then(
      () => 'was decoded',
      (error: Error) => error.message,
    );
    expect(there.error).toBe(here);
    return there.error;
  };

  test('cut off, damaged, empty, not a photo, HEIC', async () => {
    const jpeg = await picture(300, 200).jpeg().toBuffer();
    expect(await refusal(jpeg.subarray(0, jpeg.length * 0.7), 'a.jpg')).toMatch(/stops before its end/);
    expect(await refusal(new Uint8Array(), 'a.jpg')).toMatch(/is empty/);
    expect(await refusal(new TextEncoder().encode('a list'), 'a.txt')).toMatch(/is a text file/);
    const png = Buffer.from(await picture(300, 200).png().toBuffer());
    png.fill(0x55, 60, png.length - 40);
    expect(await refusal(png, 'a.png')).toMatch(/is damaged|stops before its end/);
    const avif = await picture(64, 64).avif().toBuffer();
    const heic = avif.toString('latin1').replaceAll('avif', 'heic').replaceAll('av01', 'hvc1');
    expect(await refusal(Buffer.from(heic, 'latin1'), 'a.heic')).toMatch(/is an HEIC photo.*save it as JPEG/);
  });
});
