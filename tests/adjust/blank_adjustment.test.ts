import { expect, test } from 'vitest';
import {
  axisSigmaAt,
  type BlankSolution,
  blankSolution,
  fitWithTip,
  liftBlank,
} from '../../src/adjust/blank_adjustment.ts';
import { type BlankProblem, endOf } from '../../src/adjust/blank_problem.ts';
import { axisPoint, blankRadius } from '../../src/geometry/blank_axis.ts';
import { norm, subtract } from '../../src/geometry/vector.ts';
import { blank, edges, mat, problem } from '../world/read_outlines.ts';

const { cameras } = mat;

/** The problem begun so many mm off: the tip along the lane, the axis across it and in height. */
function begunOff({ tip, side, height }: { tip: number; side: number; height: number }): BlankProblem {
  const { model } = problem;
  const values = Float64Array.from(problem.values);
  values[model.tip]! += tip;
  for (let i = model.side; i < model.height; i++) values[i]! += side;
  for (let i = model.height; i < model.radius; i++) values[i]! += height;
  return { ...problem, values };
}

const solve = (fitted: BlankProblem, seen = edges, astray = 0): BlankSolution =>
  blankSolution(cameras, blank.length, { problem: fitted, ...seen, astray }, undefined);

const truth = solve(problem);

test('outlines and tip bring an axis begun beside them to where they were read', () => {
  const fitted = fitWithTip(begunOff({ tip: 3, side: -0.6, height: 1.5 }), cameras, edges);
  const found = solve(fitted);
  expect(Math.abs(endOf(fitted).t - endOf(problem).t)).toBeLessThan(0.2);
  for (const s of [20, 150, 300, 450, 580]) {
    const [there, here] = [axisPoint(truth.axis, s), axisPoint(found.axis, s)];
    const u = axisSigmaAt(found, s);
    // arc lengths count from the tip, which is found to its own doubt
    expect(Math.abs(here[1] - there[1])).toBeLessThan(4 * Math.hypot(u.side, 0.01));
    expect(Math.abs(here[2] - there[2])).toBeLessThan(4 * u.height);
    expect(blankRadius(found.axis, s)).toBeCloseTo(blankRadius(truth.axis, s), 1);
  }
  expect(found.misses.every((miss) => Math.abs(miss) < 0.05)).toBe(true);
  expect(found.tipPhotos).toEqual(edges.tips.map(({ photo }) => photo));
});

test('a tip that no photo shows stays where it was taken to be', () => {
  const off = begunOff({ tip: 3, side: 0.3, height: 0.5 });
  const fitted = fitWithTip(off, cameras, { ...edges, tips: [] });
  expect(endOf(fitted).t).toBe(endOf(off).t);
  expect(norm(subtract(endOf(fitted).point, endOf(off).point))).toBeGreaterThan(0.2);
});

test('the photo in which the blank lay aside is told by its misses', () => {
  const moved = edges.points.map((own, photo) =>
    photo === 2 ? own.map((point) => ({ ...point, pixel: [point.pixel[0], point.pixel[1] + 14] as const })) : own,
  );
  const { misses } = solve(fitWithTip(problem, cameras, { ...edges, points: moved }), { ...edges, points: moved });
  const worst = misses.map(Math.abs);
  expect(worst.indexOf(Math.max(...worst))).toBe(2);
  expect(worst[2]).toBeGreaterThan(0.7);
});

test('an end that a second look finds elsewhere is known no better than that', () => {
  expect(truth.tipSigma).toBeLessThan(0.1);
  expect(solve(problem, edges, 0.5).tipSigma).toBeCloseTo(Math.hypot(truth.tipSigma, 0.5), 9);
});

test('what bands say of the height goes before the outlines’ word, and their doubt stays', () => {
  const heights = [80, 240, 400].map((along) => ({ along, value: 0.8, u: 0.05 }));
  const lifted = liftBlank(truth, cameras, heights);
  for (const { along } of heights) {
    const up = axisPoint(lifted.axis, along)[2] - axisPoint(truth.axis, along)[2];
    expect(up).toBeGreaterThan(0.4);
    expect(up).toBeLessThan(0.85);
    expect(axisSigmaAt(lifted, along).height).toBeGreaterThanOrEqual(0.05);
  }
});
