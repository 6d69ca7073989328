import sharp from 'sharp';
import { beforeAll, describe, expect, test } from 'vitest';
import { matPages, seatCardPage, tilePage } from '../../src/mat/mat_pages.ts';
import { pagesPdf } from '../../src/mat/mat_pdf.ts';
import { pageSvg } from '../../src/mat/mat_svg.ts';
import type { PageDrawing } from '../../src/mat/page_drawing.ts';
import { isWhiteCell } from '../../src/mat/tag36h11.ts';
import {
  paperSizes,
  rowLength,
  rowsBreadth,
  seatCard,
  seatCardCorners,
  tagCorners,
  tagPlace,
  tileTagIds,
} from '../../src/mat/tile.ts';
import { readTags } from '../../src/vision/tags.ts';
import { openCv } from '../vision/open_cv.ts';

interface DrawingOpenCv {
  Mat: new () => { data: Uint8Array; delete(): void };
  DICT_APRILTAG_36h11: number;
  getPredefinedDictionary(which: number): {
    generateImageMarker(id: number, side: number, into: object, border: number): void;
  };
}

describe('tag patterns', () => {
  test("all 587 are those of OpenCV's DICT_APRILTAG_36h11", async () => {
    const { cv } = await openCv<DrawingOpenCv>();
    const dictionary = cv.getPredefinedDictionary(cv.DICT_APRILTAG_36h11);
    const drawing = new cv.Mat();
    for (let id = 0; id < 587; id++) {
      dictionary.generateImageMarker(id, 8, drawing, 1);
      const ours = Array.from({ length: 64 }, (_, i) => (isWhiteCell(id, i >> 3, i & 7) ? 255 : 0));
      expect(ours, `tag ${id}`).toEqual([...drawing.data]);
    }
    drawing.delete();
  });
});

describe('tile geometry', () => {
  test('ids run left to right, top row first, ten a tile', () => {
    expect(tileTagIds(4)).toEqual([40, 41, 42, 43, 44, 45, 46, 47, 48, 49]);
    expect(tagPlace(40)).toEqual({ tile: 4, row: 'top', centre: [-100, 72] });
    expect(tagPlace(49)).toEqual({ tile: 4, row: 'bottom', centre: [100, -72] });
    expect(tagCorners(2)).toEqual([
      [-12, 84],
      [12, 84],
      [12, 60],
      [-12, 60],
    ]);
  });
  test('ids that no tile carries have no place', () => {
    for (const id of [-1, 580, 581, 586, 1.5, Number.NaN]) expect(tagPlace(id)).toBeUndefined();
    expect(tagPlace(579)!.tile).toBe(57);
    expect(seatCardCorners(579)).toBeUndefined();
    expect(seatCardCorners(581)![0]).toEqual([8, 9]);
  });
});

// Ten make a whole number of pixels of either paper.
const pixelsPerMm = 10;
/** The page as pixels; its size in millimetres is taken from the SVG itself. */
async function raster(page: PageDrawing) {
  const svg = pageSvg(page);
  const [size, width, height] = /width="([\d.]+)mm" height="([\d.]+)mm"/.exec(svg)!;
  expect(svg).toContain(`viewBox="${-Number(width) / 2} ${-Number(height) / 2} ${width} ${height}"`);
  const pixels = `width="${Number(width) * pixelsPerMm}" height="${Number(height) * pixelsPerMm}"`;
  const { data, info } = await sharp(Buffer.from(svg.replace(size, pixels)))
    .flatten({ background: 'white' })
    .greyscale()
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, luma: new Uint8Array(data) };
}

describe.each(['A4', 'Letter'] as const)('%s pages drawn as SVG', (paper) => {
  test('have their true size, and the tags are read where the geometry says', async () => {
    const page = tilePage(paper, 57, 58);
    const image = await raster(page);
    expect(Math.abs(image.width / pixelsPerMm - paperSizes[paper].width)).toBeLessThan(0.2);
    expect(Math.abs(image.height / pixelsPerMm - paperSizes[paper].height)).toBeLessThan(0.2);
    const { tags } = await readTags(image);
    expect(tags.map((tag) => tag.id).toSorted((a, b) => a - b)).toEqual(tileTagIds(57));
    for (const tag of tags) {
      tagCorners(tag.id)!.forEach(([u, v], i) => {
        // Pixel edges to pixel centres: OpenCV's (0, 0) is the centre of the first pixel.
        const x = (u + page.width / 2) * pixelsPerMm - 0.5;
        const y = (page.height / 2 - v) * pixelsPerMm - 0.5;
        const [foundX, foundY] = tag.corners[i]!;
        expect(Math.hypot(foundX - x, foundY - y)).toBeLessThan(0.15);
      });
    }
  });

  test('the lane is white from end to end; the rows measure 224 and 168 mm from outer edge to outer edge', async () => {
    const page = tilePage(paper, 0, 3);
    const { width, height, luma } = await raster(page);
    const dark = (u: number, v: number) =>
      luma[
        Math.round((page.height / 2 - v) * pixelsPerMm - 0.5) * width +
          Math.round((u + page.width / 2) * pixelsPerMm - 0.5)
      ]! < 128;
    const inLane: string[] = [];
    for (let v = -57; v < 57; v += 0.15)
      for (let u = -paperSizes[paper].width / 2 + 1; u < paperSizes[paper].width / 2 - 1; u += 0.15)
        if (dark(u, v)) inLane.push(`${u} ${v}`);
    expect(inLane).toEqual([]);
    expect(height).toBeGreaterThan(1000);
    for (const sign of [-1, 1]) {
      expect(dark(sign * (rowLength / 2 - 0.2), 72)).toBe(true);
      expect(dark(sign * (rowLength / 2 + 0.2), 72)).toBe(false);
      expect(dark(0, sign * (rowsBreadth / 2 - 0.2))).toBe(true);
      expect(dark(0, sign * (rowsBreadth / 2 + 0.2))).toBe(false);
    }
    expect([rowLength, rowsBreadth]).toEqual([224, 168]);
  });

  test('the seat card carries tags 580 and 581, 34 mm apart, on a piece of 62 x 24 mm, twice', async () => {
    const page = seatCardPage(paper);
    const image = await raster(page);
    const card = (centreU: number, centreV: number) =>
      readTags({ ...image, luma: blankOutside(image, page, [centreU, centreV]) });
    for (const centreV of [20, -40]) {
      const { tags } = await card(-60, centreV);
      expect(tags.map((tag) => tag.id).toSorted((a, b) => a - b)).toEqual([...seatCard.ids]);
      for (const tag of tags) {
        seatCardCorners(tag.id)!.forEach(([u, v], i) => {
          const x = (u - 60 + page.width / 2) * pixelsPerMm - 0.5;
          const y = (page.height / 2 - (v + centreV)) * pixelsPerMm - 0.5;
          const [foundX, foundY] = tag.corners[i]!;
          expect(Math.hypot(foundX - x, foundY - y)).toBeLessThan(0.15);
        });
      }
    }
  });
});

/** The page with everything but one seat card made white, as it is once cut out. */
function blankOutside(
  image: { width: number; height: number; luma: Uint8Array },
  page: PageDrawing,
  [centreU, centreV]: [number, number],
): Uint8Array {
  return image.luma.map((value, i) => {
    const u = ((i % image.width) + 0.5) / pixelsPerMm - page.width / 2;
    const v = page.height / 2 - (Math.floor(i / image.width) + 0.5) / pixelsPerMm;
    const inside = Math.abs(u - centreU) < seatCard.width / 2 && Math.abs(v - centreV) < seatCard.height / 2;
    return inside ? value : 255;
  });
}

describe('the PDF file', () => {
  const pointsToMm = 25.4 / 72;
  let text = '';
  let objects: string[] = [];
  beforeAll(() => {
    text = new TextDecoder('latin1').decode(pagesPdf('Mat', matPages('A4', 3)));
    objects = objectsByTable(text);
  });

  /** Objects found through the cross-reference table, as a viewer finds them. */
  function objectsByTable(pdf: string): string[] {
    const start = Number(/startxref\n(\d+)\n%%EOF\n$/.exec(pdf)![1]);
    const table = pdf.slice(start);
    expect(table.startsWith('xref\n')).toBe(true);
    return [...table.matchAll(/^(\d{10}) 00000 n $/gm)].map((entry, i) => {
      const body = pdf.slice(Number(entry[1]));
      expect(body.startsWith(`${i + 1} 0 obj\n`)).toBe(true);
      return body.slice(0, body.indexOf('endobj'));
    });
  }

  test('asks to be printed unscaled and has pages of the true size', () => {
    expect(objects[0]).toContain('/PrintScaling /None');
    const pages = objects.filter((object) => object.includes('/Type /Page '));
    expect(pages).toHaveLength(4);
    for (const page of pages) {
      const [, width, height] = /\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(page)!;
      expect(Number(width) * pointsToMm).toBeCloseTo(297, 3);
      expect(Number(height) * pointsToMm).toBeCloseTo(210, 3);
    }
    const letter = new TextDecoder().decode(pagesPdf('Mat', matPages('Letter', 1)));
    // 11 x 8.5 inches are 792 x 612 points.
    expect(letter).toContain('/MediaBox [0 0 792 612]');
  });

  test('the stated length of each content stream is its real one', () => {
    const streams = objects.filter((object) => object.includes('stream\n'));
    expect(streams).toHaveLength(4);
    for (const object of streams) {
      const stated = Number(/\/Length (\d+)/.exec(object)![1]);
      expect(object.slice(object.indexOf('stream\n') + 7, object.indexOf('\nendstream'))).toHaveLength(stated);
    }
  });

  test('tags measure true on paper, from the page corner in points', () => {
    const content = objects.find((object) => object.includes('Tile 2 of 3'))!;
    const [a, b, c, d, e, f] = /([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+) cm/
      .exec(content)!
      .slice(1)
      .map(Number) as [number, number, number, number, number, number];
    expect([b, c]).toEqual([0, 0]);
    // To millimetres from the centre of the page.
    const place = (x: number, y: number) => [(a * x + e) * pointsToMm - 148.5, (d * y + f) * pointsToMm - 105] as const;
    const squares = [...content.matchAll(/^0 g\n(\S+) (\S+) (\S+) (\S+) re\nf$/gm)].map(
      (match) => match.slice(1).map(Number) as [number, number, number, number],
    );
    expect(squares).toHaveLength(10);
    squares.forEach(([x, y, width, height], i) => {
      expect(width * a * pointsToMm).toBeCloseTo(24, 4);
      expect(height * d * pointsToMm).toBeCloseTo(24, 4);
      const [u, v] = place(x + width / 2, y + height / 2);
      const [expectedU, expectedV] = tagPlace(10 + i)!.centre;
      expect(u).toBeCloseTo(expectedU, 3);
      expect(v).toBeCloseTo(expectedV, 3);
    });
    expect(content).not.toMatch(/ l S$/m);
  });

  test('white cells of every tag are in it, on black', () => {
    const content = objects.find((object) => object.includes('Tile 3 of 3'))!;
    const groups = content.match(/^1 g\n(?:\S+ \S+ \S+ \S+ re\n)+f$/gm)!;
    groups.forEach((group, i) => {
      const rectangles = [...group.matchAll(/^(\S+) (\S+) (\S+) (\S+) re$/gm)].map((match) =>
        match.slice(1).map(Number),
      );
      const area = rectangles.reduce((sum, [, , width, height]) => sum + width! * height!, 0);
      let white = 0;
      for (let cell = 0; cell < 64; cell++) if (isWhiteCell(20 + i, cell >> 3, cell & 7)) white++;
      expect(area).toBeCloseTo(white * 9, 3);
    });
    expect(groups).toHaveLength(10);
  });
});

test('a mat has 1 to 58 tiles', () => {
  expect(matPages('A4', 58)).toHaveLength(59);
  expect(() => matPages('A4', 59)).toThrow(/1 to 58/);
  expect(() => matPages('A4', 0)).toThrow(/1 to 58/);
});
