import { describe, expect, test } from 'vitest';
import { measureRing } from '../../src/adjust/measure_rings.ts';
import { placeCandidate } from '../../src/adjust/ring_candidate.ts';
import { fitRing, quick } from '../../src/adjust/ring_fit.ts';
import { placeRing, plannedRing, type RingState } from '../../src/adjust/ring_state.ts';
import { edgeDoubt, type RimEdge, type RimSide, stepRing } from '../../src/adjust/ring_step.ts';
import { sigmaOf } from '../../src/numerics/covariance.ts';
import type { RingGuide } from '../../src/plan/plan.ts';
import { sampleRims } from '../../src/vision/rim_edges.ts';
import { ringEvidence } from '../../src/vision/ring_evidence.ts';
import type { View } from '../../src/vision/strip.ts';
import { sightingsOf } from '../world/made_up_sightings.ts';
import { cameraLookingAt, takePhoto } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(120, 1.5, 3, 8);
const small: RingGuide = { ringOuter: 7, ringInner: 5, height: 8, lean: 0, foot: 'single' };
const large: RingGuide = { ringOuter: 12, ringInner: 8.8, height: 16, lean: 6, foot: 'double' };
const truth: RingState = {
  ...plannedRing(small).shape.mean,
  along: 60,
  right: 10.25 * Math.sin(0.15),
  up: 10.25 * Math.cos(0.15),
};
const ring = placeRing(axis, truth).ring;
const size = { width: 360, height: 240 };
const cameras = (
  [
    [50, 30, 300],
    [90, -60, 290],
    [20, 10, 310],
  ] as const
).map((eye) => cameraLookingAt(eye, [60, 0, 12], 2400, size.width, size.height));
const scene = { axis, rings: [ring], bands: [], paper: 215, blank: 50, ring: 70 };
const views = cameras.map((camera, i): View => takePhoto(scene, camera, size, 2, i + 1));

describe('one step of the fit', () => {
  /** Edges where the rims of a ring that lies `by` mm off would be, along and to the right. */
  const edgesOf = (by: { along: number; right: number }) => {
    const placed = placeRing(axis, truth);
    const moved = placeRing(axis, { ...truth, along: truth.along + by.along, right: truth.right + by.right }).ring;
    const shift = [0, 1, 2].map((i) => moved.centre[i]! - placed.ring.centre[i]!);
    const edges: RimEdge[] = [];
    const sides = new Map<number, RimSide>();
    for (const [photo, view] of views.entries()) {
      sides.set(photo, { photo, sigma: edgeDoubt.outer, shift: 0 });
      for (const sample of sampleRims(view, ring, { reach: 2, spacing: 2, noise: 2 })) {
        if (sample.rim.part !== 'outline') continue;
        const offset = sample.gradient.reduce((sum, g, i) => sum + g * shift[i]!, 0);
        edges.push({ photo, side: photo, sample, offset });
      }
    }
    return {
      state: truth,
      placed,
      edges,
      sides,
      photos: views.map((): { shift: [number, number] } => ({ shift: [0, 0] })),
    };
  };

  test('stays where the edges lie on the rims, and goes where they lie off', () => {
    const still = stepRing(axis, edgesOf({ along: 0, right: 0 }), plannedRing(small), 1)!;
    expect(still.state.along).toBeCloseTo(truth.along, 6);
    expect(still.scale).toBe(1);
    const gone = stepRing(axis, edgesOf({ along: 0.3, right: -0.2 }), plannedRing(small), 1)!;
    expect(gone.state.along - truth.along).toBeGreaterThan(0.2);
    expect(gone.state.along - truth.along).toBeLessThan(0.32);
    expect(gone.state.right - truth.right).toBeLessThan(-0.1);
  });

  test('knows a place in the photos’ plane better than its height, and more edges better still', () => {
    const whole = edgesOf({ along: 0, right: 0 });
    const all = stepRing(axis, whole, plannedRing(small), 1)!.covariance();
    expect(sigmaOf(all, 'along')).toBeLessThan(sigmaOf(all, 'up'));
    const few = { ...whole, edges: whole.edges.filter((_, i) => i % 8 === 0) };
    const less = stepRing(axis, few, plannedRing(small), 1)!.covariance();
    expect(sigmaOf(all, 'along')).toBeLessThan(sigmaOf(less, 'along'));
  });

  test('never turns the section inside out', () => {
    const folded = edgesOf({ along: 0, right: 0 });
    const state = { ...truth, outer: 2, inner: 2.4, rounding: 3, halfThickness: 0.01 };
    const { state: next } = stepRing(axis, { ...folded, state }, plannedRing(small), 0.001)!;
    expect(next.outer).toBeGreaterThan(next.inner);
    expect(next.rounding).toBeLessThanOrEqual((next.outer - next.inner) / 2);
    expect(next.halfThickness).toBeGreaterThan(0);
  });
});

describe('a ring fitted to its rims in photos', () => {
  const off = { ...truth, along: truth.along + 0.4, right: truth.right - 0.3 };

  test('from half a millimetre off it is found where it stands, and the photos speak for it', () => {
    const fit = fitRing(views, axis, plannedRing(small), off, quick)!;
    expect(Math.abs(fit.state.along - truth.along)).toBeLessThan(0.1);
    expect(Math.abs(fit.state.right - truth.right)).toBeLessThan(0.15);
    expect(fit.views).toEqual([0, 1, 2]);
    expect(fit.evidence).toBeGreaterThan(20);
    expect(fit.pxPerMm).toBeGreaterThan(7);
  });

  test('evidence falls where no ring is, and nothing is fitted where no photo shows the place', () => {
    const shown = { view: views[0]!, noise: 2, shift: [0, 0] } as const;
    const here = ringEvidence(shown, axis, ring, 60);
    const elsewhere = placeRing(axis, { ...truth, along: 45 }).ring;
    expect(ringEvidence(shown, axis, elsewhere, 45)).toBeLessThan(0);
    expect(here).toBeGreaterThan(10);
    expect(fitRing(views, axis, plannedRing(small), { ...truth, along: 300 }, quick)).toBeUndefined();
  });

  test('of the plan’s makes the one is told whose rims the photos show', () => {
    const candidate = placeCandidate(views, axis, sightingsOf(views, axis, [ring], { place: 0.2, seed: 3 }))!;
    const found = measureRing(views, axis, candidate, [large, small]);
    expect(Math.abs(found.ringOuter - small.ringOuter)).toBeLessThan(0.4);
    expect(Math.abs(found.along - truth.along)).toBeLessThan(0.15);
    expect(found.edges).toBeGreaterThan(50);
  });

  test('where its rims show nowhere, the sightings alone say where it is, with all their doubt', () => {
    const bare = views.map(
      (view): View => ({ ...view, photo: { ...view.photo, luma: new Uint8Array(size.width * size.height).fill(215) } }),
    );
    const candidate = placeCandidate(bare, axis, sightingsOf(bare, axis, [ring], { place: 0.2, seed: 3 }))!;
    const found = measureRing(bare, axis, candidate, [small]);
    expect(found.edges).toBe(0);
    expect(found.along).toBe(candidate.along);
    expect(sigmaOf(found.covariance, 'along')).toBeCloseTo(Math.sqrt(candidate.covariance.along.along), 6);
  });
});
