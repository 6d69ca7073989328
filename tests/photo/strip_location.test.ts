import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { readExif } from '../../src/photo/exif.ts';
import { fileKind } from '../../src/photo/file_kind.ts';
import { readImageHeader } from '../../src/photo/read_image_header.ts';
import { withoutLocation } from '../../src/photo/strip_location.ts';

const formats = ['jpeg', 'png', 'webp', 'avif'] as const;
const xmp = `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:exif="http://ns.adobe.com/exif/1.0/" exif:GPSLatitude="46,31.5N"/></rdf:RDF></x:xmpmeta>`;

/** A small photo as libvips and libexif write it, with a place in EXIF and in XMP. */
function photo(
  format: (typeof formats)[number],
  { seconds = 3141, focal = 57, orientation = 6, make = 'Maker' } = {},
): Promise<Buffer> {
  return sharp({
    create: { width: 40, height: 24, channels: 3, background: '#706050', noise: { type: 'gaussian', sigma: 40 } },
  })
    .withExif({
      IFD0: { Make: make, Orientation: String(orientation), ImageDescription: 'the old mill' },
      IFD2: { FocalLength: `${focal}/10`, FocalLengthIn35mmFilm: '26', UserComment: 'behind the old mill' },
      IFD3: { GPSLatitudeRef: 'N', GPSLatitude: `46/1 31/1 ${seconds}/100`, GPSAreaInformation: 'the old mill' },
    })
    .withXmp(xmp)
    .toFormat(format)
    .toBuffer();
}

const exifOf = (bytes: Uint8Array) => {
  const header = readImageHeader(bytes, fileKind(bytes));
  expect(header?.complete).toBe(true);
  return header?.exif ? readExif(header.exif) : {};
};
const pixels = (bytes: Uint8Array) => sharp(bytes).raw().toBuffer();
/**
 * Tag numbers of the GPS directory's pointer in either byte order, as a directory entry begins: tag, type 4, count 1.
 */
const pointers = [Buffer.from([0x25, 0x88, 4, 0, 1, 0, 0, 0]), Buffer.from([0x88, 0x25, 0, 4, 0, 0, 0, 1])];

describe.each(formats)('a %s', (format) => {
  test('loses its place and keeps focal length, orientation and every pixel', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.integer({ min: 1, max: 5999 }),
        fc.integer({ min: 11, max: 999 }),
        fc.integer({ min: 1, max: 8 }),
        fc.stringMatching(/^[A-Za-z0-9]{1,40}$/),
        async (seconds, focal, orientation, make) => {
          const bytes = await photo(format, { seconds, focal, orientation, make });
          expect(pointers.some((pointer) => bytes.includes(pointer))).toBe(true);
          const clean = Buffer.from(withoutLocation(bytes)!);
          expect(pointers.some((pointer) => clean.includes(pointer))).toBe(false);
          expect(clean.includes('old mill')).toBe(false);
          expect(clean.includes('GPSLatitude')).toBe(false);
          expect(exifOf(clean)).toEqual(exifOf(bytes));
          expect(exifOf(clean)).toMatchObject({ focalLength: focal / 10, focalLengthIn35mm: 26, make });
          expect(await pixels(clean)).toEqual(await pixels(bytes));
        },
      ),
      { numRuns: 15 },
    );
  });

  test('without any metadata comes out as it went in, pixel by pixel', async () => {
    const bytes = await sharp({ create: { width: 16, height: 16, channels: 3, background: '#345' } })
      .toFormat(format)
      .toBuffer();
    expect(await pixels(withoutLocation(bytes)!)).toEqual(await pixels(bytes));
  });

  test('cleaned twice is the same as cleaned once', async () => {
    const once = withoutLocation(await photo(format))!;
    expect(withoutLocation(once)).toEqual(once);
  });

  test('cut off or spoilt anywhere never throws', async () => {
    const bytes = await photo(format);
    fc.assert(
      fc.property(fc.nat(bytes.length - 1), fc.nat(bytes.length), fc.nat(255), (at, end, value) => {
        const spoilt = bytes.subarray(0, end).slice();
        if (at < spoilt.length) spoilt[at] = value;
        const clean = withoutLocation(spoilt);
        expect(clean === undefined || clean.length > 0).toBe(true);
      }),
      { numRuns: 300 },
    );
  });
});

test('what a phone hangs behind a JPEG goes with it', async () => {
  const bytes = await photo('jpeg');
  const tail = Buffer.from('....ftypmp42 +46.5236-122.6750/');
  const clean = Buffer.from(withoutLocation(Buffer.concat([bytes, tail]))!);
  expect(clean.includes('+46.5236')).toBe(false);
  expect(clean).toEqual(Buffer.from(withoutLocation(bytes)!));
});

test('a progressive JPEG keeps all its scans', async () => {
  const bytes = await sharp(await photo('jpeg'))
    .jpeg({ progressive: true })
    .keepMetadata()
    .toBuffer();
  const clean = withoutLocation(bytes)!;
  expect(await pixels(clean)).toEqual(await pixels(bytes));
  expect(Buffer.from(clean).includes('old mill')).toBe(false);
});

test('nothing is promised of a file that is no photo of a known kind', () => {
  expect(withoutLocation(Buffer.from('GIF89a and more'))).toBeUndefined();
  expect(withoutLocation(Buffer.from('plain text'))).toBeUndefined();
});
