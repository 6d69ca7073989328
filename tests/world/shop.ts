import type { Pixel } from '../../src/geometry/vector.ts';
import { seededNormal, seededUniform } from './seeded_random.ts';

/**
 * What a real shop adds to the made-up bench: paper that waves and curls, a lens that is not quite Brown's. Drawn by
 * other functions than the ones the product fits, so that it has to fit what it does not know.
 */

/** Height of the paper over its mean plane at a place (nominal mm) of a tile, mm. */
export type Paper = (tile: number, u: number, v: number) => number;
/** How far a lens shifts a pixel beyond Brown's model, pixels. */
export type Bend = (x: number, y: number) => Pixel;

/**
 * Pages that each wave their own way: two waves of 160 to 400 mm in any direction that reach `height` mm together, and
 * short ends that curl up by as much as `curl` mm over the last 50 mm.
 */
export function wavingPaper(seed: number, height: number, curl = 0): Paper {
  const pages = new Map<number, { waves: { kx: number; ky: number; phase: number; size: number }[]; ends: number[] }>();
  const pageOf = (tile: number) => {
    let page = pages.get(tile);
    if (!page) {
      const uniform = seededUniform(seed * 1009 + tile * 131 + 7);
      const share = 0.3 + 0.4 * uniform();
      page = {
        waves: [share, 1 - share].map((part) => {
          const wavelength = 160 + 240 * uniform();
          const direction = Math.PI * uniform();
          return {
            kx: (2 * Math.PI * Math.cos(direction)) / wavelength,
            ky: (2 * Math.PI * Math.sin(direction)) / wavelength,
            phase: 2 * Math.PI * uniform(),
            size: part * height,
          };
        }),
        ends: [curl * uniform(), curl * uniform()],
      };
      pages.set(tile, page);
    }
    return page;
  };
  return (tile, u, v) => {
    const { waves, ends } = pageOf(tile);
    const wave = waves.reduce((sum, w) => sum + w.size * Math.sin(w.kx * u + w.ky * v + w.phase), 0);
    const over = Math.max(Math.abs(u) - 95, 0) / 50;
    return wave + ends[u < 0 ? 0 : 1]! * over ** 2;
  };
}

/** A smooth field that reaches about `size` pixels: three waves, each 0.7 to 1.6 pictures long. */
export function bendingLens(seed: number, size: number, width: number, height: number): Bend {
  const normal = seededNormal(seed * 7 + 3);
  const uniform = seededUniform(seed * 13 + 5);
  const longer = Math.max(width, height);
  const waves = Array.from({ length: 3 }, () => {
    const wavelength = longer * (0.7 + 0.9 * uniform());
    const direction = 2 * Math.PI * uniform();
    return {
      kx: (2 * Math.PI * Math.cos(direction)) / wavelength,
      ky: (2 * Math.PI * Math.sin(direction)) / wavelength,
      phase: 2 * Math.PI * uniform(),
      right: normal(),
      down: normal(),
    };
  });
  const length = Math.sqrt(waves.reduce((sum, w) => sum + w.right ** 2 + w.down ** 2, 0));
  return (x, y) => {
    let right = 0;
    let down = 0;
    for (const w of waves) {
      const s = Math.sin(w.kx * x + w.ky * y + w.phase);
      right += (size * w.right * s) / length;
      down += (size * w.down * s) / length;
    }
    return [right, down];
  };
}
