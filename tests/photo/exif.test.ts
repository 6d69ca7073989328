import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/plan/input_error.ts';
import { cameraFacts } from '../../src/photo/camera_facts.ts';
import { decodePhotoFile } from '../../src/photo/decode_node.ts';
import { readExif } from '../../src/photo/exif.ts';
import { fileKind } from '../../src/photo/file_kind.ts';
import { readImageHeader } from '../../src/photo/read_image_header.ts';
import { inspectPhotoFile } from '../../src/photo/inspect_photo.ts';

const written = {
  IFD0: { Make: 'Maker', Model: 'Phone 1' },
  IFD2: {
    FocalLength: '57/10',
    FocalLengthIn35mmFilm: '26',
    FocalPlaneXResolution: '72500/100',
    FocalPlaneYResolution: '72500/100',
    FocalPlaneResolutionUnit: '4',
    DigitalZoomRatio: '1/1',
    LensModel: 'Back camera 5.7 mm',
    DateTimeOriginal: '2026:11:20 10:32:11',
  },
};
const picture = () => sharp({ create: { width: 80, height: 60, channels: 3, background: '#808080' } });
const formats = ['jpeg', 'png', 'webp', 'avif'] as const;

describe('the EXIF block', () => {
  test.each(formats)('is found in a %s, written by libexif through libvips', async (format) => {
    const bytes = await picture().withExif(written).toFormat(format).toBuffer();
    const kind = fileKind(bytes);
    expect(kind).toBe(format);
    const header = readImageHeader(bytes, kind)!;
    expect([header.width, header.height, header.complete]).toEqual([80, 60, true]);
    expect(readExif(header.exif!)).toMatchObject({
      make: 'Maker',
      model: 'Phone 1',
      lens: 'Back camera 5.7 mm',
      focalLength: 5.7,
      focalLengthIn35mm: 26,
      focalPlaneResolution: 725,
      digitalZoom: 1,
      takenAt: '2026:11:20 10:32:11',
    });
  });

  test('reads the same in either byte order', () => {
    const expected = { orientation: 6, focalLength: 4.25, focalLengthIn35mm: 26 };
    expect(readExif(tiff(true))).toEqual(expected);
    expect(readExif(tiff(false))).toEqual(expected);
  });

  test('garbage yields no error and no nonsense', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), fc.boolean(), (noise, little) => {
        const bytes = Uint8Array.from([
          ...(little ? [0x49, 0x49, 42, 0, 8, 0, 0, 0] : [0x4d, 0x4d, 0, 42, 0, 0, 0, 8]),
          ...noise,
        ]);
        const {
          orientation = 1,
          focalLength = 1,
          focalLengthIn35mm = 1,
          takenAt = '0000:00:00 00:00:00',
        } = readExif(bytes);
        expect([1, 2, 3, 4, 5, 6, 7, 8]).toContain(orientation);
        expect(focalLength > 0 && Number.isFinite(focalLength)).toBe(true);
        expect(focalLengthIn35mm > 0 && Number.isFinite(focalLengthIn35mm)).toBe(true);
        expect(takenAt).toMatch(/^\d{4}:\d\d:\d\d \d\d:\d\d:\d\d$/);
      }),
    );
  });

  test('any bytes spoilt in a good file end in facts or in one sentence, never in a crash', async () => {
    const files = await Promise.all(formats.map((format) => picture().withExif(written).toFormat(format).toBuffer()));
    let refused = 0;
    let read = 0;
    fc.assert(
      fc.property(
        fc.constantFrom(...files),
        fc.array(fc.tuple(fc.noBias(fc.nat(600)), fc.nat(255)), { minLength: 1, maxLength: 5 }),
        fc.noBias(fc.integer({ min: 0, max: 200 })),
        (file, changes, kept) => {
          const bytes = Uint8Array.from(file.subarray(0, Math.ceil((file.length * Math.min(100, kept)) / 100)));
          // The first twelve bytes tell the kind: spoilt, the file would only be called something else.
          for (const [at, value] of changes) if (12 + at < bytes.length) bytes[12 + at] = value;
          try {
            inspectPhotoFile({ name: 'x', bytes });
            read++;
          } catch (error) {
            if (!(error instanceof InputError)) throw error;
            refused++;
          }
        },
      ),
      { numRuns: 2000 },
    );
    expect(refused).toBeGreaterThan(100);
    expect(read).toBeGreaterThan(100);
  });
});

describe('focal length from EXIF', () => {
  test('by the diagonal of 36 x 24 mm: a full-frame camera with a 50 mm lens', () => {
    // 6000 pixels on 36 mm: 50 mm is 8333.3 pixels.
    const { focalPrior } = cameraFacts({ focalLengthIn35mm: 50 }, 6000, 4000);
    expect(focalPrior).toBeCloseTo(8333.33, 1);
    expect(cameraFacts({ focalLengthIn35mm: 50 }, 4000, 6000).focalPrior).toBeCloseTo(8333.33, 1);
  });

  test("a phone's 26 mm equivalent on a 4032 x 3024 photo of 4:3", () => {
    // hypot(4032, 3024) = 5040, hypot(36, 24) = 43.2666: 26 * 5040 / 43.2666.
    expect(cameraFacts({ focalLengthIn35mm: 26 }, 4032, 3024).focalPrior).toBeCloseTo(3028.66, 1);
  });

  test('the pixel pitch is better where it agrees, and ignored where it is nonsense', () => {
    const exif = { focalLength: 5.7, focalLengthIn35mm: 26, focalPlaneResolution: 525 };
    expect(cameraFacts(exif, 4032, 3024).focalPrior).toBeCloseTo(5.7 * 525, 6);
    expect(cameraFacts({ ...exif, focalPlaneResolution: 2.8 }, 4032, 3024).focalPrior).toBeCloseTo(3028.66, 1);
    const halved = { focalLength: 5.7, focalPlaneResolution: 525, pixelWidth: 4032, pixelHeight: 3024 };
    expect(cameraFacts(halved, 2016, 1512).focalPrior).toBeCloseTo((5.7 * 525) / 2, 6);
  });

  test('nothing is claimed for a cropped, zoomed or absurd photo', () => {
    expect(cameraFacts({ focalLengthIn35mm: 26 }, 4032, 2268).focalPrior).toBeUndefined();
    expect(cameraFacts({ focalLengthIn35mm: 26 }, 3024, 3024).focalPrior).toBeUndefined();
    expect(cameraFacts({ focalLengthIn35mm: 26, digitalZoom: 2 }, 4032, 3024).focalPrior).toBeUndefined();
    expect(
      cameraFacts({ focalLengthIn35mm: 26, pixelWidth: 4000, pixelHeight: 2000 }, 4032, 3024).focalPrior,
    ).toBeUndefined();
    expect(cameraFacts({ focalLengthIn35mm: 9000 }, 4032, 3024).focalPrior).toBeUndefined();
    expect(cameraFacts({}, 4032, 3024)).toEqual({});
  });

  test('photos share a lens only when camera, lens, zoom, size and turn agree', () => {
    const exif = { make: 'Maker', model: 'Phone 1', lens: 'wide', focalLength: 5.7, orientation: 1 };
    const key = (more: object, width = 4032, height = 3024) =>
      cameraFacts({ ...exif, ...more }, width, height).cameraKey;
    expect(key({})).toBe('Maker Phone 1, wide, 5.70 mm, 4032 x 3024, orientation 1');
    const others = [
      key({ lens: 'tele' }),
      key({ focalLength: 6.1 }),
      key({ digitalZoom: 2 }),
      key({ orientation: 6 }),
      key({}, 2016, 1512),
    ];
    expect(new Set([key({}), ...others]).size).toBe(6);
    expect(cameraFacts({ make: 'Maker' }, 4032, 3024).cameraKey).toBeUndefined();
  });

  test('reaches the decoded photo', async () => {
    const bytes = await picture().withExif(written).jpeg().toBuffer();
    const photo = await decodePhotoFile({ name: 'a.jpg', bytes });
    expect(photo.focalPrior).toBeCloseTo((26 * 100) / Math.hypot(36, 24), 3);
    expect(photo.takenAt).toBe('2026:11:20 10:32:11');
    expect(photo.cameraKey).toMatch(/^Maker Phone 1, Back camera/);
  });
});

describe('file kind by first bytes', () => {
  const of = (...parts: (string | number[])[]) =>
    fileKind(
      Uint8Array.from(
        parts.flatMap((part) => (typeof part === 'string' ? Array.from(part, (c) => c.charCodeAt(0)) : part)),
      ),
    );
  test('phones write HEIC under many brands', () => {
    for (const brand of ['heic', 'heix', 'hevc', 'heim', 'mif1', 'msf1', 'miaf']) {
      expect(of([0, 0, 0, 24], 'ftyp', brand, [0, 0, 0, 0], brand, 'tmap')).toBe('heic');
    }
    expect(of([0, 0, 0, 24], 'ftyp', 'mif1', [0, 0, 0, 0], 'mif1', 'avif')).toBe('avif');
    expect(of([0, 0, 0, 24], 'ftyp', 'qt  ', [0, 0, 0, 0], 'qt  ', 'qt  ')).toBe('video');
  });
  test('the rest', () => {
    expect(of([])).toBe('empty');
    expect(of('RIFF', [0, 0, 0, 0], 'WAVE')).toBe('video');
    expect(of('GIF89a')).toBe('gif');
    expect(of('II*', [0, 8, 0, 0, 0])).toBe('tiff');
    expect(of('%PDF-1.7')).toBe('pdf');
    expect(of('PK', [3, 4, 20, 0])).toBe('zip');
    expect(of('BM', [0x36, 0, 0, 0, 0, 0])).toBe('bmp');
    expect(of('a list of guides\n')).toBe('text');
    expect(fileKind(new TextEncoder().encode('größe; 5⅜'.repeat(100)))).toBe('text');
    expect(of([1, 2, 3, 4, 200])).toBe('unknown');
  });
});

/** A TIFF structure with an orientation and, in its EXIF directory, two focal lengths, written out by hand. */
function tiff(little: boolean): Uint8Array {
  const view = new DataView(new ArrayBuffer(100));
  const entry = (at: number, id: number, type: number, count: number, value: number) => {
    view.setUint16(at, id, little);
    view.setUint16(at + 2, type, little);
    view.setUint32(at + 4, count, little);
    if (type === 3) view.setUint16(at + 8, value, little);
    else view.setUint32(at + 8, value, little);
  };
  view.setUint16(0, little ? 0x4949 : 0x4d4d);
  view.setUint16(2, 42, little);
  view.setUint32(4, 8, little);
  view.setUint16(8, 2, little);
  entry(10, 0x0112, 3, 1, 6);
  entry(22, 0x8769, 4, 1, 40);
  view.setUint16(40, 2, little);
  entry(42, 0x920a, 5, 1, 80);
  entry(54, 0xa405, 3, 1, 26);
  view.setUint32(80, 425, little);
  view.setUint32(84, 100, little);
  return new Uint8Array(view.buffer);
}
