import { expect, test } from 'vitest';
import type { ProfileEdge } from '../../src/vision/edge_profile.ts';
import { likeliestEdge } from '../../src/vision/likeliest_edge.ts';
import type { RimSample } from '../../src/vision/rim_edges.ts';

const photo = { noise: 2, pxPerMm: 6 };
const sample = (part: RimSample['rim']['part'], edges: ProfileEdge[]) => ({ rim: { part }, edges }) as RimSample;
const pick = (part: RimSample['rim']['part'], edges: ProfileEdge[], expected = 0) =>
  likeliestEdge(sample(part, edges), edges, expected, 1.5, photo);

test('of edges as sharp as each other the one nearest to where the rim is expected is taken', () => {
  const edges = [
    { offset: -2, slope: 30 },
    { offset: 0.3, slope: -30 },
  ];
  expect(pick('bore', edges)).toBe(edges[1]);
  expect(pick('bore', edges, -1.8)).toBe(edges[0]);
});

test('an edge that is no steeper than shading gives way to a sharp one a little farther off', () => {
  const edges = [
    { offset: 0, slope: 2 },
    { offset: 1, slope: 60 },
  ];
  expect(pick('bore', edges)).toBe(edges[1]);
});

test('of an outline the outer of two clear edges is taken: reflections lie inside a silhouette', () => {
  const edges = [
    { offset: 0, slope: 40 },
    { offset: 1.2, slope: 38 },
  ];
  expect(pick('outline', edges)).toBe(edges[1]);
  expect(pick('bore', edges)).toBe(edges[0]);
});

test('what lies far off is no edge of the rim at all', () => {
  expect(pick('bore', [{ offset: 6, slope: 80 }])).toBeUndefined();
});
