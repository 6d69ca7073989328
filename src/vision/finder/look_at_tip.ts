import { project } from '../../geometry/camera.ts';
import { isInPhoto, withinCentres } from '../../geometry/in_photo.ts';
import type { AxisStation } from '../outline.ts';
import type { View } from '../strip.ts';
import { type TipPoint, tipPointAt } from '../tip_profile.ts';
import type { Finder } from './finder.ts';
import { type Planes, resample } from './resample.ts';
import { type Sheet, sheetPoint, tipSampling, tipSheet } from './sheet.ts';

/**
 * The tip network's output, a cell every `stride` samples: the end's heat, how far beside the middle of its cell it
 * lies along, and the natural logarithm of the mean error of that, both in cells.
 */
const tipOutput = { stride: 2, heat: 0, along: 1, error: 2 };
const reading = {
  /** the end shows with this probability at least; with this share of it near the likeliest place, or it is torn */
  sure: 0.5,
  clear: 0.85,
  /** cells about the likeliest whose words are averaged: so it was trained */
  near: 6,
  /** the photo must go on beyond it by so much, mm */
  beyond: 2,
  /**
   * light, lens and blur move what several photos tell alike: standard deviation, mm; photos of another renderer than
   * the one it learned from had it 0.06 farther out than their edges
   */
  alike: 0.08,
} as const;

/** An end as the network tells it on its picture: the place along in samples, and its standard deviation. */
interface EndTold {
  column: number;
  sigma: number;
}

/**
 * The blank's tip end within some 17 mm of a station of its axis, as the finder sees it in one photo; undefined where
 * it sees none.
 */
export function lookAtTip(finder: Finder, view: View, end: AxisStation): TipPoint | undefined {
  const at = project(view.camera, end.point);
  if (!at || !isInPhoto(view.photo, at, withinCentres(0))) return undefined;
  const sheet = tipSheet(view.camera, end);
  const planes = resample(view, sheet);
  const told = tipTold(finder, planes);
  if (!told || !showsBeyond(view, sheet, told)) return undefined;
  const { step } = tipSampling;
  const rim = { point: sheetPoint(sheet, sheet.rows / 2, -sheet.from / step), along: end.along };
  const offset = sheet.from + told.column * step;
  return tipPointAt(view.camera, rim, { offset, sigma: Math.hypot(told.sigma * step, reading.alike) });
}

/**
 * The end that the network tells on a picture laid as `tipSheet` does, on the mean of what it says of it and of its
 * mirror image; undefined where it sees none.
 */
export function tipTold({ tip }: Finder, { data, width, rows }: Planes): EndTold | undefined {
  const { stride } = tipOutput;
  const output = tip.run(data, width, rows);
  const ofMirrored = tip.run(upsideDown(data, width, rows), width, rows);
  const mirrored = upsideDown(ofMirrored, width / stride, rows / stride);
  const mean = output.map((value, i) => (value + mirrored[i]!) / 2);
  return endTold(mean, rows, width);
}

/** Planes of so many rows each, their last row first. */
export function upsideDown(planes: Float32Array, width: number, rows: number): Float32Array {
  const turned = new Float32Array(planes.length);
  for (let row = 0; row * width < planes.length; row++) {
    const inPlane = row % rows;
    turned.set(planes.subarray(row * width, (row + 1) * width), (row - inPlane + rows - 1 - inPlane) * width);
  }
  return turned;
}

/**
 * What the network's output tells of the end; where it sees one but is torn between places, their mean, with a doubt
 * that holds them. Undefined where it is not sure that any shows.
 */
export function endTold(output: Float32Array, rows: number, width: number): EndTold | undefined {
  const [h, w] = [rows / tipOutput.stride, width / tipOutput.stride];
  const cells = h * w;
  const heat = output.subarray(tipOutput.heat * cells, (tipOutput.heat + 1) * cells);
  let peak = 0;
  for (let i = 1; i < cells; i++) if (heat[i]! > heat[peak]!) peak = i;
  const highest = Math.max(heat[peak]!, 0);
  const near = { share: 0, column: 0, error: 0 };
  const there = { share: 0, column: 0, square: 0 };
  for (let i = 0; i < cells; i++) {
    const share = Math.exp(heat[i]! - highest);
    const column = (i % w) + output[tipOutput.along * cells + i]!;
    there.share += share;
    there.column += share * column;
    there.square += share * column ** 2;
    if (Math.abs((i % w) - (peak % w)) > reading.near) continue;
    near.share += share;
    near.column += share * column;
    near.error += share * output[tipOutput.error * cells + i]!;
  }
  // beside all cells stands the word "none", at 0
  const all = there.share + Math.exp(-highest);
  if (there.share < reading.sure * all) return undefined;
  const { stride } = tipOutput;
  const toSamples = (column: number) => (column + 0.5) * stride - 0.5;
  if (near.share < reading.clear * there.share) {
    const mean = there.column / there.share;
    return { column: toSamples(mean), sigma: Math.sqrt(there.square / there.share - mean ** 2) * stride };
  }
  // of Laplace's distribution, whose mean error the network was taught
  const sigma = Math.SQRT2 * Math.exp(near.error / near.share) * stride;
  return { column: toSamples(near.column / near.share), sigma };
}

/** Whether the photo goes on beyond an end: its own edge looks like one. */
function showsBeyond({ photo, camera }: View, sheet: Sheet, { column }: EndTold): boolean {
  const beyond = project(camera, sheetPoint(sheet, sheet.rows / 2, column - reading.beyond / tipSampling.step));
  return beyond !== undefined && isInPhoto(photo, beyond, withinCentres(0));
}
