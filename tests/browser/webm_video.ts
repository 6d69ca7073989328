import sharp from 'sharp';

/**
 * A WebM video (Matroska, RFC 9559) of photos, each shown as long as the others. A lossy WebP holds one VP8 key frame
 * (RFC 9649), so each frame is a WebP's.
 */
export async function webmOf(
  photos: readonly string[],
  { width, height, framesPerSecond }: { width: number; height: number; framesPerSecond: number },
): Promise<Buffer> {
  const length = 1000 / framesPerSecond;
  const frames = await Promise.all(
    photos.map(async (photo) => {
      const picture = sharp(photo).rotate().resize(width, height, { fit: 'cover' }).removeAlpha();
      return keyFrame(await picture.webp({ quality: 90, smartSubsample: false }).toBuffer());
    }),
  );
  const track = element(0xae, [
    number(0xd7, 1),
    number(0x73c5, 1),
    number(0x83, 1),
    element(0x86, [Buffer.from('V_VP8')]),
    element(0xe0, [number(0xb0, width), number(0xba, height)]),
  ]);
  const duration = Buffer.alloc(8);
  duration.writeDoubleBE(length * frames.length);
  return Buffer.concat([
    element(0x1a45dfa3, [element(0x4282, [Buffer.from('webm')]), number(0x4287, 4), number(0x4285, 2)]),
    element(0x18538067, [
      element(0x1549a966, [number(0x2ad7b1, 1_000_000), element(0x4489, [duration])]),
      element(0x1654ae6b, [track]),
      ...frames.map((frame, i) => {
        // track 1, at the cluster's own time, a key frame
        const block = element(0xa3, [Buffer.from([0x81, 0, 0, 0x80]), frame]);
        return element(0x1f43b675, [number(0xe7, Math.round(i * length)), block]);
      }),
    ]),
  ]);
}

/** An EBML element: its id, its size in eight bytes, its content. */
function element(id: number, content: readonly Buffer[]): Buffer {
  const hex = id.toString(16);
  const size = Buffer.alloc(8);
  size.writeBigUInt64BE(BigInt(content.reduce((sum, part) => sum + part.length, 0)) | (1n << 56n));
  return Buffer.concat([Buffer.from(hex.length % 2 ? `0${hex}` : hex, 'hex'), size, ...content]);
}

function number(id: number, value: number): Buffer {
  const bytes = Buffer.alloc(4);
  bytes.writeUInt32BE(value);
  return element(id, [bytes]);
}

/** The `VP8 ` chunk of a lossy WebP file. */
function keyFrame(webp: Buffer): Buffer {
  for (let at = 12; at + 8 <= webp.length; ) {
    const length = webp.readUInt32LE(at + 4);
    if (webp.toString('latin1', at, at + 4) === 'VP8 ') return webp.subarray(at + 8, at + 8 + length);
    at += 8 + length + (length % 2);
  }
  throw new Error('no lossy picture in this WebP');
}
