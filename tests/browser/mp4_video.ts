import sharp from 'sharp';
import { planes } from './camera_video.ts';

/** What is to be filmed: photos one after the other; both sides whole macroblocks of 16 pixels. */
interface Film {
  width: number;
  height: number;
  framesPerSecond: number;
  /** `isom` for MP4, `qt  ` for QuickTime's MOV */
  brand: 'isom' | 'qt  ';
}

/**
 * An H.264 video (ITU-T H.264, constrained baseline) in an ISO base media file (ISO/IEC 14496-12): each photo is one
 * IDR picture whose macroblocks are all I_PCM, that is, the samples themselves; no encoder is needed, and nothing is
 * lost.
 */
export async function mp4Of(photos: readonly string[], film: Film): Promise<Buffer> {
  const { width, height } = film;
  const pictures = await Promise.all(
    photos.map(async (photo, i) => {
      const rgb = await sharp(photo).rotate().resize(width, height, { fit: 'cover' }).removeAlpha().raw().toBuffer();
      return withLength(picture(planes(rgb, { width, height }), film, i));
    }),
  );
  const head = box('ftyp', Buffer.from(film.brand), u32(0x200), Buffer.from(film.brand));
  // sample places are counted from the file's beginning, behind a box that is as long whatever they are
  const before = head.length + movie(pictures, film, 0).length + 8;
  return Buffer.concat([head, movie(pictures, film, before), box('mdat', ...pictures)]);
}

/** Bits, the first the highest of the first byte. */
class Bits {
  #bits: number[] = [];
  put(value: number, count: number): this {
    for (let i = count - 1; i >= 0; i--) this.#bits.push((value >> i) & 1);
    return this;
  }
  /** unsigned Exp-Golomb code */
  ue(...values: number[]): this {
    for (const value of values) {
      const length = 31 - Math.clz32(value + 1);
      this.put(0, length).put(value + 1, length + 1);
    }
    return this;
  }
  /** filled with zeros to whole bytes */
  bytes(): Buffer {
    while (this.#bits.length % 8 > 0) this.#bits.push(0);
    return Buffer.from(
      Array.from({ length: this.#bits.length / 8 }, (_, i) =>
        this.#bits.slice(8 * i, 8 * i + 8).reduce((byte, bit) => 2 * byte + bit, 0),
      ),
    );
  }
}

/** A unit of the bitstream: its kind, and its content with what would look like a unit's beginning broken up. */
function unit(kind: number, content: Buffer): Buffer {
  const out = Buffer.alloc(1 + Math.ceil(content.length * 1.5));
  out[0] = kind;
  let at = 1;
  let zeros = 0;
  for (const byte of content) {
    if (zeros === 2 && byte <= 3) {
      out[at++] = 3;
      zeros = 0;
    }
    out[at++] = byte;
    zeros = byte === 0 ? zeros + 1 : 0;
  }
  return out.subarray(0, at);
}

const profile = { idc: 66, constraints: 0xc0, level: 40 };

/** Sequence parameters: frames only, in the order they are shown, none refers to another. */
const sequence = ({ width, height }: Film): Buffer => {
  const bits = new Bits().put(profile.idc, 8).put(profile.constraints, 8).put(profile.level, 8);
  return unit(
    0x67,
    bits
      .ue(0, 0, 2, 0)
      .put(0, 1)
      .ue(width / 16 - 1, height / 16 - 1)
      .put(0b11001, 5)
      .bytes(),
  );
};

/** Picture parameters: CAVLC, one slice group, deblocking said in each slice. */
const parameters = (): Buffer =>
  unit(0x68, new Bits().ue(0, 0).put(0, 2).ue(0, 0, 0).put(0, 3).ue(0, 0, 0).put(0b1001, 4).bytes());

/** One picture of macroblocks that hold their samples as they are. */
function picture(samples: Buffer, { width, height }: Film, index: number): Buffer {
  const [blue, red] = [width * height, (width * height * 5) / 4];
  const content: Buffer[] = [];
  for (let y = 0; y < height; y += 16)
    for (let x = 0; x < width; x += 16) {
      const first = content.length === 0;
      // slice: from the first macroblock on, intra only; IDR by turns 0 and 1; not deblocked. Macroblock: I_PCM
      const head = new Bits();
      if (first)
        head
          .ue(0, 7, 0)
          .put(0, 4)
          .ue(index % 2)
          .put(0, 2)
          .ue(0, 1);
      content.push(head.ue(25).bytes());
      for (let row = 0; row < 16; row++)
        content.push(samples.subarray((y + row) * width + x, (y + row) * width + x + 16));
      for (const plane of [blue, red])
        for (let row = 0; row < 8; row++) {
          const at = plane + (y / 2 + row) * (width / 2) + x / 2;
          content.push(samples.subarray(at, at + 8));
        }
    }
  return unit(0x65, Buffer.concat([...content, Buffer.from([0x80])]));
}

const u16 = (...values: number[]): Buffer => {
  const bytes = Buffer.alloc(2 * values.length);
  values.forEach((value, i) => bytes.writeUInt16BE(value, 2 * i));
  return bytes;
};
const u32 = (...values: number[]): Buffer => {
  const bytes = Buffer.alloc(4 * values.length);
  values.forEach((value, i) => bytes.writeUInt32BE(value, 4 * i));
  return bytes;
};
const withLength = (content: Buffer): Buffer => Buffer.concat([u32(content.length), content]);

function box(kind: string, ...content: Buffer[]): Buffer {
  const length = content.reduce((sum, part) => sum + part.length, 8);
  return Buffer.concat([u32(length), Buffer.from(kind), ...content]);
}

const straight = u32(0x10000, 0, 0, 0, 0x10000, 0, 0, 0, 0x40000000);

/** What the file says of its one track; `from`: where its first picture lies in the file, bytes. */
function movie(pictures: readonly Buffer[], film: Film, from: number): Buffer {
  const { width, height, framesPerSecond } = film;
  const scale = 1000;
  const length = scale / framesPerSecond;
  const whole = length * pictures.length;
  const [own, own2] = [sequence(film), parameters()];
  const avcC = box(
    'avcC',
    Buffer.from([1, profile.idc, profile.constraints, profile.level, 0xff, 0xe1]),
    u16(own.length),
    own,
    Buffer.from([1]),
    u16(own2.length),
    own2,
  );
  const avc1 = box(
    'avc1',
    Buffer.concat([u32(0), u16(0, 1), Buffer.alloc(16), u16(width, height), u32(0x480000, 0x480000, 0)]),
    Buffer.concat([u16(1), Buffer.alloc(32), u16(24, 0xffff)]),
    avcC,
  );
  const table = box(
    'stbl',
    box('stsd', u32(0, 1), avc1),
    box('stts', u32(0, 1, pictures.length, length)),
    box('stsc', u32(0, 1, 1, pictures.length, 1)),
    box('stsz', u32(0, 0, pictures.length, ...pictures.map((one) => one.length))),
    box('stco', u32(0, 1, from)),
  );
  const media = box(
    'minf',
    box('vmhd', u32(1), Buffer.alloc(8)),
    box('dinf', box('dref', u32(0, 1), box('url ', u32(1)))),
    table,
  );
  return box(
    'moov',
    box('mvhd', u32(0, 0, 0, scale, whole, 0x10000), u16(0x100), Buffer.alloc(10), straight, Buffer.alloc(24), u32(2)),
    box(
      'trak',
      box('tkhd', u32(3, 0, 0, 1, 0, whole), Buffer.alloc(16), straight, u32(width * 0x10000, height * 0x10000)),
      box(
        'mdia',
        box('mdhd', u32(0, 0, 0, scale, whole), u16(0x55c4, 0)),
        box('hdlr', u32(0, 0), Buffer.from('vide'), Buffer.alloc(12), Buffer.from('film\0')),
        media,
      ),
    ),
  );
}
