import { describe, expect, test } from 'vitest';
import { crossSection, rollDirection } from '../../src/geometry/blank_axis.ts';
import { project } from '../../src/geometry/camera.ts';
import { addScaled } from '../../src/geometry/vector.ts';
import { fitBox } from '../../src/vision/box_profile.ts';
import { drawRibbon } from '../../src/vision/ribbon.ts';
import { runningMedian } from '../../src/numerics/robust.ts';
import { samplePhoto } from '../../src/vision/sampling.ts';
import { acrossPlaces, straighten, visibleStretch } from '../../src/vision/strip.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { cameraOver, type Reflectance, renderBlank, straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(120, 2, 3, 10);
const halves = (_: number, roll: number): Reflectance => (roll > 0 ? [0.5, 0.02, 0.02] : [0.02, 0.02, 0.5]);
const view = renderBlank({ axis, paint: halves, noise: 1 }, cameraOver(60, 600, { width: 640, height: 90, tilt: 10 }));

describe('the straightened blank', () => {
  test('samples the photo where the camera sees each surface point', () => {
    const across = acrossPlaces(7, 0.9);
    const strip = straighten(view, axis, { from: 20, to: 100 }, across);
    for (const c of [3, 250, 777]) {
      const section = crossSection(axis, 20 + c * strip.step);
      for (const [k, w] of across.entries()) {
        const roll = strip.facing[c]! + (Math.asin(w) * 180) / Math.PI;
        const pixel = project(view.camera, addScaled(section.point, rollDirection(section, roll), section.radius))!;
        expect(Math.abs(strip.luma[k * strip.columns + c]! - samplePhoto(view.photo, ...pixel)[0])).toBeLessThan(2.5);
      }
    }
  });

  test('covers what the photo shows, no more', () => {
    const near = { ...view, camera: cameraOver(60, 400, { width: 640, height: 90 }).camera };
    const stretch = visibleStretch(near, axis, { from: 0, to: 120 })!;
    expect(stretch.from).toBeGreaterThan(15);
    expect(stretch.to).toBeLessThan(105);
    const left = project(near.camera, crossSection(axis, stretch.from).point)!;
    expect(left[0]).toBeGreaterThan(0);
  });
});

test('the ribbon lies tip to the left with the right-hand side (from the butt) on top', () => {
  const ribbon = drawRibbon([view], axis, { range: { from: 0, to: 120 }, halfWidth: 6 });
  const { width, height, rgba } = ribbon.picture;
  const at = (x: number, y: number): number[] =>
    Array.from(rgba.subarray((y * width + x) * 4, (y * width + x) * 4 + 3));
  const middle = (height - 1) / 2;
  const above = at(width >> 1, middle - 5);
  const below = at(width >> 1, middle + 4);
  expect(above[0]! - above[2]!).toBeGreaterThan(60);
  expect(below[2]! - below[0]!).toBeGreaterThan(60);
  expect(width).toBe(480);
});

test('a blurred box is found again, with an uncertainty that fits its scatter', () => {
  const normal = seededNormal(3);
  const x = Array.from({ length: 81 }, (_, i) => i * 0.1 - 4);
  const logistic = (z: number): number => 1 / (1 + Math.exp(-1.702 * z));
  const truth = (v: number): number => 20 + v + 60 * (logistic((v + 0.7) / 0.2) - logistic((v - 0.8) / 0.2));
  const pulls: number[] = [];
  for (let trial = 0; trial < 60; trial++) {
    const y = x.map((v) => truth(v) + 3 * normal());
    const fit = fitBox(x, y, { tip: -0.5, butt: 0.9, blur: 0.15, height: 50, level: 20, slope: 0 }, 0.2)!;
    pulls.push((fit.tip + 0.7) / fit.edgeU[0], (fit.butt - 0.8) / fit.edgeU[1]);
  }
  const rms = Math.sqrt(pulls.reduce((sum, v) => sum + v * v, 0) / pulls.length);
  expect(rms).toBeGreaterThan(0.7);
  expect(rms).toBeLessThan(1.35);
});

test('the running median ignores what is short against its window', () => {
  const values = Array.from({ length: 40 }, (_, i) => (i > 10 && i < 14 ? 99 : i));
  const smooth = runningMedian(values, 5);
  expect(smooth[12]).toBeLessThan(20);
  expect(smooth[30]).toBe(30);
});
