import sharp, { type Sharp } from 'sharp';
import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/plan/input_error.ts';
import { decodePhotoFile } from '../../src/photo/decode_node.ts';
import type { Photo } from '../../src/photo/photo.ts';

type Colour = readonly [number, number, number];

const upright = { width: 48, height: 32 };
/** A different colour in each quadrant of the upright picture. */
const colourAt = (x: number, y: number): Colour => {
  const left = x < upright.width / 2;
  if (y < upright.height / 2) return left ? [200, 30, 30] : [30, 180, 40];
  return left ? [40, 60, 210] : [230, 230, 60];
};

/** Exif 3.0 (CIPA DC-008), tag Orientation: where the stored first row and first column lie in the upright picture. */
const orientations = [
  { orientation: 1, row: 'top', column: 'left' },
  { orientation: 2, row: 'top', column: 'right' },
  { orientation: 3, row: 'bottom', column: 'right' },
  { orientation: 4, row: 'bottom', column: 'left' },
  { orientation: 5, row: 'left', column: 'top' },
  { orientation: 6, row: 'right', column: 'top' },
  { orientation: 7, row: 'right', column: 'bottom' },
  { orientation: 8, row: 'left', column: 'bottom' },
] as const;
type Side = (typeof orientations)[number]['row'];

/** Counting `steps` away from a side of the upright picture, as the x or y it leads to. */
const inward = (side: Side, steps: number): { x?: number; y?: number } => {
  if (side === 'left') return { x: steps };
  if (side === 'right') return { x: upright.width - 1 - steps };
  return { y: side === 'top' ? steps : upright.height - 1 - steps };
};

function stored(row: Side, column: Side): Sharp {
  const turned = row === 'left' || row === 'right';
  const width = turned ? upright.height : upright.width;
  const height = turned ? upright.width : upright.height;
  const pixels = new Uint8Array(width * height * 3);
  for (let i = 0; i < height; i++) {
    for (let j = 0; j < width; j++) {
      const { x = 0, y = 0 } = { ...inward(row, i), ...inward(column, j) };
      pixels.set(colourAt(x, y), (i * width + j) * 3);
    }
  }
  return sharp(pixels, { raw: { width, height, channels: 3 } });
}

/** Luma and colour differences by the formulas of ITU-T T.871 (JFIF), section 7. */
const lumaOf = ([r, g, b]: Colour): number => 0.299 * r + 0.587 * g + 0.114 * b;
const blueOf = ([r, g, b]: Colour): number => -0.168736 * r - 0.331264 * g + 0.5 * b + 128;
const redOf = ([r, g, b]: Colour): number => 0.5 * r - 0.418688 * g - 0.081312 * b + 128;

function expectUprightQuadrants(photo: Photo, tolerance: number): void {
  expect([photo.width, photo.height]).toEqual([upright.width, upright.height]);
  for (const [x, y] of [
    [12, 8],
    [36, 8],
    [12, 24],
    [36, 24],
  ] as const) {
    const colour = colourAt(x, y);
    const half = (y / 2) * (photo.width / 2) + x / 2;
    expect(Math.abs(photo.luma[y * photo.width + x]! - lumaOf(colour))).toBeLessThan(tolerance);
    expect(Math.abs(photo.blueDifference[half]! - blueOf(colour))).toBeLessThan(tolerance);
    expect(Math.abs(photo.redDifference[half]! - redOf(colour))).toBeLessThan(tolerance);
  }
}

describe('orientation', () => {
  test.each(orientations)('$orientation is applied once to a JPEG', async ({ orientation, row, column }) => {
    const bytes = await stored(row, column).jpeg({ quality: 98 }).withMetadata({ orientation }).toBuffer();
    expectUprightQuadrants(await decodePhotoFile({ name: 'a.jpg', bytes }), 4);
  });

  test.each(orientations)('$orientation is applied once to a PNG and a WebP', async ({ orientation, row, column }) => {
    const png = await stored(row, column).png().withMetadata({ orientation }).toBuffer();
    expectUprightQuadrants(await decodePhotoFile({ name: 'a.png', bytes: png }), 1.01);
    const webp = await stored(row, column).webp({ lossless: true }).withMetadata({ orientation }).toBuffer();
    expectUprightQuadrants(await decodePhotoFile({ name: 'a.webp', bytes: webp }), 1.01);
  });
});

describe('pixels', () => {
  test('odd sizes keep their last row and column', async () => {
    const pixels = new Uint8Array(5 * 3 * 3).map((_, i) => (i * 37) % 256);
    const bytes = await sharp(pixels, { raw: { width: 5, height: 3, channels: 3 } })
      .png()
      .toBuffer();
    const photo = await decodePhotoFile({ name: 'odd.png', bytes });
    expect(photo.blueDifference.length).toBe(6);
    for (let i = 0; i < 15; i++) {
      const colour: Colour = [pixels[3 * i]!, pixels[3 * i + 1]!, pixels[3 * i + 2]!];
      expect(Math.abs(photo.luma[i]! - lumaOf(colour))).toBeLessThanOrEqual(0.51);
    }
    const corner: Colour = [pixels[42]!, pixels[43]!, pixels[44]!];
    expect(Math.abs(photo.blueDifference[5]! - blueOf(corner))).toBeLessThanOrEqual(0.51);
    expect(Math.abs(photo.redDifference[5]! - redOf(corner))).toBeLessThanOrEqual(0.51);
  });

  test('the strongest colours stay within a byte', async () => {
    const pixels = Uint8Array.from([0, 0, 255, 255, 0, 0, 255, 255, 255, 0, 0, 0]);
    const bytes = await sharp(pixels, { raw: { width: 4, height: 1, channels: 3 } })
      .png()
      .toBuffer();
    const photo = await decodePhotoFile({ name: 'strong.png', bytes });
    expect([...photo.luma]).toEqual([29, 76, 255, 0]);
    const blue = await sharp({ create: { width: 2, height: 2, channels: 3, background: '#0000ff' } })
      .png()
      .toBuffer();
    expect([...(await decodePhotoFile({ name: 'blue.png', bytes: blue })).blueDifference]).toEqual([255]);
  });

  test('grey, 16-bit and transparent pictures read as they look on white paper', async () => {
    const make = (background: object) =>
      sharp({
        create: { width: 16, height: 16, channels: 4, background: { r: 0, g: 0, b: 0, alpha: 1, ...background } },
      });
    const clear = await make({ alpha: 0 }).png().toBuffer();
    expect((await decodePhotoFile({ name: 'clear.png', bytes: clear })).luma[100]).toBe(255);
    const grey = await make({ r: 90, g: 90, b: 90 }).flatten().greyscale().jpeg().toBuffer();
    const greyPhoto = await decodePhotoFile({ name: 'grey.jpg', bytes: grey });
    expect(greyPhoto.luma[100]).toBe(90);
    expect(greyPhoto.blueDifference[30]).toBe(128);
    const deep = await make({ r: 200, g: 200, b: 200 }).flatten().toColourspace('rgb16').png().toBuffer();
    expect((await sharp(deep).metadata()).depth).toBe('ushort');
    expect((await decodePhotoFile({ name: 'deep.png', bytes: deep })).luma[100]).toBe(200);
  });
});

describe('files that cannot be used get one sentence', () => {
  const photoOf = (format: 'jpeg' | 'png' | 'webp' | 'avif') => {
    const pixels = new Uint8Array(90 * 70 * 3).map((_, i) => (i * i * 31) % 256);
    return sharp(pixels, { raw: { width: 90, height: 70, channels: 3 } })
      .toFormat(format)
      .toBuffer();
  };
  const refusal = async (name: string, bytes: Uint8Array): Promise<string> => {
    const error: unknown = await decodePhotoFile({ name, bytes }).then(
      () => 'was decoded',
      (reason: unknown) => reason,
    );
    if (!(error instanceof InputError)) throw new Error(`expected an InputError, got ${String(error)}`);
    expect(error.message.startsWith(name)).toBe(true);
    return error.message;
  };

  test('empty', async () => {
    expect(await refusal('e.jpg', new Uint8Array())).toMatch(/is empty: copy/);
  });

  test.each(['jpeg', 'png', 'webp'] as const)('a %s cut off anywhere', async (format) => {
    const whole = await photoOf(format);
    for (const share of [0.002, 0.05, 0.3, 0.6, 0.9, 0.99]) {
      const cut = whole.subarray(0, Math.max(12, Math.floor(whole.length * share)));
      expect(await refusal('cut.jpg', cut)).toMatch(/stops before its end/);
    }
    expect(await refusal('cut.jpg', whole.subarray(0, whole.length - 1))).toMatch(/stops before its end/);
  });

  test("a thumbnail's or an appended picture's end does not hide that the photo is cut off", async () => {
    const thumbnail = await photoOf('jpeg');
    const payload = Buffer.concat([Buffer.from('Exif\0\0'), thumbnail]);
    const head = Buffer.from([0xff, 0xd8, 0xff, 0xe1, 0, 0]);
    head.writeUInt16BE(payload.length + 2, 4);
    const whole = Buffer.concat([head, payload, thumbnail.subarray(2)]);
    expect((await decodePhotoFile({ name: 'whole.jpg', bytes: whole })).width).toBe(90);
    const withTrailer = Buffer.concat([whole, Buffer.from('a clip the phone appends')]);
    expect((await decodePhotoFile({ name: 'trailer.jpg', bytes: withTrailer })).width).toBe(90);
    expect(await refusal('cut.jpg', whole.subarray(0, whole.length - 400))).toMatch(/stops before its end/);
  });

  test('over 52 megapixels, told from the header', async () => {
    const png = Buffer.from(await photoOf('png'));
    png.writeUInt32BE(12000, 16);
    png.writeUInt32BE(9000, 20);
    expect(await refusal('huge.png', png)).toMatch(/has 108 megapixels and the limit is 52/);
    const jpeg = Buffer.from(await photoOf('jpeg'));
    const frame = jpeg.indexOf(Buffer.from([0xff, 0xc0]));
    jpeg.writeUInt16BE(20000, frame + 5);
    jpeg.writeUInt16BE(20000, frame + 7);
    expect(await refusal('huge.jpg', jpeg)).toMatch(/has 400 megapixels/);
  });

  test('damaged in the middle', async () => {
    const png = Buffer.from(await photoOf('png'));
    png.fill(0x55, 60, png.length - 40);
    expect(await refusal('damaged.png', png)).toMatch(/is damaged and cannot be read|stops before its end/);
    const jpeg = await photoOf('jpeg');
    const middle = Math.floor(jpeg.length / 2);
    const withHole = Buffer.concat([jpeg.subarray(0, middle), jpeg.subarray(middle + 900)]);
    expect(await refusal('hole.jpg', withHole)).toMatch(/is damaged and cannot be read/);
    const webp = Buffer.from(await photoOf('webp'));
    webp.fill(0xff, 34, webp.length);
    expect(await refusal('damaged.webp', webp)).toMatch(/is damaged and cannot be read/);
  });

  test('not a photo', async () => {
    const text = new TextEncoder().encode('{"schema":"prewrap.plan/1"}');
    expect(await refusal('plan.jpg', text)).toMatch(/is a text file, not a photo: use a JPEG/);
    expect(await refusal('mat.pdf', new TextEncoder().encode('%PDF-1.7 \n%\xe2'))).toMatch(/is a PDF, not a photo/);
    expect(await refusal('odd.bin', Uint8Array.of(0, 1, 2, 3, 250, 0, 0, 9))).toMatch(
      /is not a photo that can be read/,
    );
  });

  test('HEIC says how to set the phone; AVIF, its open sister, is read', async () => {
    const avif = Buffer.from(await photoOf('avif'));
    const photo = await decodePhotoFile({ name: 'a.avif', bytes: avif });
    expect([photo.width, photo.height]).toEqual([90, 70]);
    const heic = Buffer.from(avif.toString('latin1').replaceAll('avif', 'heic').replaceAll('av01', 'hvc1'), 'latin1');
    expect(await refusal('IMG_1.HEIC', heic)).toMatch(/is an HEIC photo.*save it as JPEG, or set the phone/);
  });
});
