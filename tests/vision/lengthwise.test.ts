import { describe, expect, test } from 'vitest';
import { mapBlank, mapBlock, mapNoise, valueAt, withoutRunning } from '../../src/vision/blank_map.ts';
import {
  beyondEnds,
  columnAt,
  degrees,
  inPieces,
  lengthwise,
  lengthwiseStrip,
  mix,
  rowAt,
  rowMedians,
  rowSpacing,
} from '../../src/vision/lengthwise_strip.ts';
import { measureLine } from '../../src/vision/spine_line.ts';
import { searchSpineLines } from '../../src/vision/spine_search.ts';
import { measureEdge } from '../../src/vision/tape_edge.ts';
import { cameraOver, type Reflectance, renderBlank, straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(110, 4, 4, 12);
const range = { from: 0, to: 110 };
const WHITE: Reflectance = [0.7, 0.7, 0.68];
const BLACK: Reflectance = [0.012, 0.012, 0.013];
const shoot = (paint: (s: number, roll: number) => Reflectance) =>
  renderBlank({ axis, paint, noise: 1.5 }, cameraOver(55, 600, { width: 620, height: 90 }));
const round = (roll: number) => (roll * Math.PI * 4) / 180;
/** A stroke 1.4 mm wide at roll 12 from 30 to 80 mm; a strip of tape 4.5 mm wide from roll -20 on over the same. */
const stroked = shoot((s, roll) => (s > 30 && s < 80 && Math.abs(round(roll - 12)) < 0.7 ? WHITE : BLACK));
const taped = shoot((s, roll) => (s > 30 && s < 80 && roll > -20 && round(roll + 20) < 4.5 ? [0.7, 0.55, 0.3] : BLACK));
const banded = shoot((s) => (s > 50 && s < 53 ? WHITE : BLACK));
const line = { from: 30, to: 80, roll: 12, strength: 10 };

describe('the map of a blank', () => {
  const map = mapBlank(stroked, axis, range, 28)!;

  test('shows the stroke at its roll and the blank beside it, and nothing past the limb', () => {
    const block = Math.floor((55 - map.from) / mapBlock);
    const at = (roll: number) => valueAt(map, block, Math.sin((roll * Math.PI) / 180), 0);
    expect(at(12) - at(-30)).toBeGreaterThan(80);
    expect(at(89)).toBeNaN();
    expect((map.from - range.from) % mapBlock).toBe(0);
  });

  test('a band shorter than half a block is gone from it', () => {
    const short = mapBlank(banded, axis, range, 28)!;
    const lumas = Array.from({ length: short.blocks }, (_, b) => valueAt(short, b, 0, 0));
    expect(lumas.filter((luma) => luma > 100).length).toBeLessThanOrEqual(1);
  });

  test('less what runs on, only what is shorter remains; its noise is that of the blocks', () => {
    const rest = withoutRunning(map);
    const block = Math.floor((55 - map.from) / mapBlock);
    expect(Math.abs(valueAt(rest, block, Math.sin(-0.5), 0))).toBeLessThan(3);
    const noise = mapNoise(map);
    expect(noise[0]).toBeGreaterThanOrEqual(1.5);
    expect(noise[0]).toBeLessThan(4);
  });

  test('of a photo that shows too little of the blank there is none', () => {
    expect(mapBlank(stroked, axis, { from: 0, to: 20 }, 28)).toBeUndefined();
  });
});

describe('lines along the blank', () => {
  test('a stroke is found where it runs, at its roll, and a bare blank has none', () => {
    const [best] = searchSpineLines([stroked], axis, range);
    expect(Math.abs(best!.roll - 12)).toBeLessThan(5);
    expect(Math.abs(best!.from - 30)).toBeLessThan(6);
    expect(Math.abs(best!.to - 80)).toBeLessThan(6);
    expect(searchSpineLines([banded], axis, range)).toEqual([]);
  });

  test('a strip of tape is found by its edges', () => {
    const found = searchSpineLines([taped], axis, range, 'edge');
    const [near] = found.toSorted((a, b) => Math.abs(a.roll + 20) - Math.abs(b.roll + 20));
    expect(Math.abs(near!.roll + 20)).toBeLessThan(7);
  });

  test('a stroke’s two edges are measured in pieces, its ends lie on bare blank', () => {
    const seen = measureLine(stroked, 0, axis, line)!;
    const half = ((0.7 / 4) * 180) / Math.PI;
    for (const { low, high } of seen.pieces) {
      expect(Math.abs(low - (12 - half))).toBeLessThan(1.2);
      expect(Math.abs(high - (12 + half))).toBeLessThan(1.2);
    }
    expect(seen.ends).toEqual(['bare', 'bare']);
    expect(seen.softness).toBeLessThan(1.7);
    // Where nothing is drawn, noise alone differs: by less than an eye sees.
    const nothing = measureLine(banded, 0, axis, line);
    expect(Math.abs((nothing?.colour[0] ?? 0) - (nothing?.ground[0] ?? 0))).toBeLessThan(2);
  });

  test('the edge of a strip of tape is measured where blank gives way to tape; a stroke is no strip', () => {
    const seen = measureEdge(taped, 0, axis, { ...line, roll: -20 })!;
    for (const { low, high } of seen.pieces) {
      expect(low).toBe(high);
      expect(Math.abs(low + 20)).toBeLessThan(1);
    }
    expect(seen.ends).toContain('bare');
    expect(measureEdge(stroked, 0, axis, { ...line, roll: 2 })).toBeUndefined();
    expect(measureEdge(banded, 0, axis, { ...line, roll: -20 })).toBeUndefined();
  });
});

describe('the strip round a line', () => {
  const seen = lengthwiseStrip(stroked, axis, line, 1)!;

  test('covers the line but for its inset, and more beyond its ends', () => {
    expect([seen.from, seen.to]).toEqual([31, 79]);
    expect(seen.around.from).toBeLessThan(20);
    expect(seen.seed).toBe(rowAt(12 - seen.facing));
    expect(lengthwiseStrip(stroked, axis, { ...line, roll: 120 }, 1)).toBeUndefined();
    expect(lengthwiseStrip(stroked, axis, { ...line, to: 36 }, 1)).toBeUndefined();
  });

  test('rows and rolls are each other’s', () => {
    for (const away of [-60, -10, 0, 33])
      expect(Math.abs(degrees(-lengthwise.limit + rowAt(away) * rowSpacing) - away)).toBeLessThan(1.5);
    expect(degrees(2)).toBe(90);
    expect([columnAt(seen.strip, -100), columnAt(seen.strip, 1000)]).toEqual([0, seen.strip.columns]);
  });

  test('medians of rows show the line within and bare blank beyond', () => {
    const [before, after] = beyondEnds(seen, line);
    const within = rowMedians(seen, 40, 70);
    expect(within[seen.seed]![0] - before![seen.seed]![0]).toBeGreaterThan(80);
    expect(Math.abs(after![seen.seed]![0] - before![seen.seed]![0])).toBeLessThan(10);
    expect(beyondEnds(seen, { from: 2, to: 108 })).toEqual([undefined, undefined]);
    expect(mix([1, 2, 3], [4, 5, 6])).toBe(32);
  });

  test('pieces lie evenly along it, and too few that could be read tell nothing', () => {
    const read = inPieces(seen, (a, b) => ({ low: a, high: b, softness: 1 }))!;
    expect(read.pieces.length).toBe(8);
    expect(read.pieces[0]!.along).toBeCloseTo(34, 9);
    let turn = 0;
    expect(inPieces(seen, () => (turn++ % 2 === 0 ? { low: 0, high: 1, softness: 1 } : undefined))).toBeUndefined();
  });
});
