import { describe, expect, test } from 'vitest';
import { findBlank } from '../../src/check/blank_on_mat.ts';
import { oneHand } from '../../src/check/hands.ts';
import { piecesBy } from '../../src/check/pieces.ts';
import { laneLooks } from '../../src/check/rod.ts';
import { measurePlaced } from '../../src/check/measure_blank.ts';
import { settleBlank } from '../../src/check/settle_blank.ts';
import type { LookAtTips } from '../../src/check/settle_tip.ts';
import { blankSolution } from '../../src/adjust/blank_adjustment.ts';
import { cameraCentre, project } from '../../src/geometry/camera.ts';
import { addScaled, type Pixel, type Vector3 } from '../../src/geometry/vector.ts';
import { tipRimDirection } from '../../src/vision/tip.ts';
import type { TaggedView } from '../../src/check/tagged_views.ts';
import type { MatSolution } from '../../src/adjust/mat_summary.ts';
import { blankRadius, axisPoint } from '../../src/geometry/blank_axis.ts';
import { emptyPhoto } from '../../src/photo/luma.ts';
import { InputError } from '../../src/plan/input_error.ts';
import type { Blank, Plan } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import type { LaneSeen } from '../../src/vision/finder/sighting.ts';
import type { Finder } from '../../src/vision/finder/finder.ts';
import { cameraLookingAt, takePhoto } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

/** A straight dark blank from 20 to 180 mm along one page's lane, 10 mm over it, in two small photos of it. */
const length = 160;
const own = straightAxis(length, 1.5, 3, 10);
const axis = { ...own, points: own.points.map(([x, y, z]) => [x - 80, y, z] as const) };
const [width, height] = [900, 420];
const cameras = (
  [
    [-20, 25, 330],
    [30, -70, 320],
  ] as const
).map((eye) => cameraLookingAt(eye, [0, 0, 5], 1100, width, height));
const colourless = (photo: ReturnType<typeof takePhoto>['photo']) => {
  const half = emptyPhoto(photo.file, width, height);
  return { ...photo, blueDifference: half.blueDifference.fill(128), redDifference: half.redDifference.fill(128) };
};
const shoot = (what = axis) =>
  cameras.map((camera, i) =>
    colourless(
      takePhoto(
        { axis: what, rings: [], bands: [], paper: 215, blank: 50, ring: 70 },
        camera,
        { width, height },
        1.5,
        i + 1,
      ).photo,
    ),
  );
const paper = cameras.map((_, i) => {
  const photo = emptyPhoto(`${i}.jpg`, width, height);
  photo.luma.fill(215);
  photo.blueDifference.fill(128);
  photo.redDifference.fill(128);
  return photo;
});
const mat = {
  cameras,
  tiles: [{ tile: 0, x: 0, y: 0, yaw: 0, heights: Array(10).fill(0) }],
  printScale: { along: 1, across: 1 },
  levels: { corner: 0.1, paper: 0.1, field: 0.1 },
  residuals: [0.1, 0.1],
  index: { cameras: [undefined, undefined] },
  values: new Float64Array(0),
} as unknown as MatSolution;
const blank: Blank = { length, tipDiameter: 3, buttDiameter: 6, finish: 'dark' };
const rest = { kind: 'blocks', axisHeight: 10 } as const;
const noLook = {
  lane: { origin: [0, 0], direction: [1, 0], from: -170, to: 170 } as const,
  seen: [undefined, undefined],
};

/** The finder sees the end in none of the photos from near by. */
const seesNone = async () => [];

describe('the blank by its outlines in all photos', () => {
  test('lies where it was laid, as thick as it is, its tip where it ends', async () => {
    const found = await settleBlank(shoot(), mat, { blank, rest, tipHidden: false }, noLook, seesNone);
    const start = axisPoint(found.axis, 0);
    expect(Math.abs(start[0] + 80)).toBeLessThan(0.6);
    for (const s of [20, 80, 140]) {
      const [, y, z] = axisPoint(found.axis, s);
      expect(Math.abs(y)).toBeLessThan(0.2);
      expect(Math.abs(z - 10)).toBeLessThan(1.5);
      expect(Math.abs(blankRadius(found.axis, s) - (1.5 + (1.5 * s) / length))).toBeLessThan(0.15);
    }
    expect(found.tipPhotos.length).toBeGreaterThan(0);
  });

  test('ends where the finder sees the tip from near by, an edge elsewhere or a photo that contradicts notwithstanding', async () => {
    /** Both photos tell the end so many mm in from where it is drawn, and so well, mm. */
    const seenAt =
      (inward: readonly number[], sigma: number): LookAtTips =>
      async (asked) =>
        asked.map(({ photo, end }) => {
          const point: Vector3 = [-80 + inward[photo]!, 0, 10];
          const rim = addScaled(point, tipRimDirection({ ...end, point }, cameraCentre(cameras[photo]!)), 1.5);
          const [at, out] = [rim, addScaled(rim, [1, 0, 0], -1)].map((p) => project(cameras[photo]!, p)!) as [
            Pixel,
            Pixel,
          ];
          const perMm = Math.hypot(out[0] - at[0], out[1] - at[1]);
          const normal: Pixel = [(out[0] - at[0]) / perMm, (out[1] - at[1]) / perMm];
          return { photo, point: { pixel: at, normal, offset: point[0] - end.point[0], perMm, sigma: sigma * perMm } };
        });
    const settled = (look: LookAtTips) => settleBlank(shoot(), mat, { blank, rest, tipHidden: false }, noLook, look);
    const byEdges = await settled(seesNone);
    const beside = await settled(seenAt([2, 2], 0.1));
    const start = axisPoint(beside.axis, 0)[0];
    expect(Math.abs(start + 78)).toBeLessThan(0.1);
    expect(beside.tipPhotos).toEqual([0, 1]);
    // Edges that agree count with it.
    const edge = axisPoint(byEdges.axis, 0)[0] + 80;
    const agreeing = await settled(seenAt([edge, edge], 0.1));
    expect(agreeing.evidence.tips.length).toBeGreaterThan(2);
    expect(Math.abs(axisPoint(agreeing.axis, 0)[0] + 80 - edge)).toBeLessThan(0.1);
    expect(beside.evidence.tips.length).toBe(2);
    // The surer photo's word counts where the other contradicts it.
    const one: LookAtTips = async (asked) => [
      (await seenAt([0, 0], 0.1)(asked))[0]!,
      (await seenAt([5, 5], 0.3)(asked))[1]!,
    ];
    expect((await settled(one)).tipPhotos).toEqual([0]);
  });

  test('whose words scatter by more than they say is doubted by as much', async () => {
    const found = await settleBlank(shoot(), mat, { blank, rest, tipHidden: false }, noLook, seesNone);
    const tips = found.evidence.tips.slice(0, 1);
    const twice = (apart: number) => {
      const [{ photo, point }] = tips as [(typeof tips)[0]];
      const pixel: Pixel = [point.pixel[0] + apart * point.normal[0], point.pixel[1] + apart * point.normal[1]];
      return blankSolution(
        cameras,
        length,
        { ...found.evidence, tips: [...tips, { photo, point: { ...point, pixel } }] },
        undefined,
      );
    };
    expect(twice(6 * tips[0]!.point.sigma).tipSigma).toBeGreaterThan(3 * twice(0).tipSigma);
  });

  test('that is in no photo is said in one sentence, with what to do', async () => {
    const settled = settleBlank(paper, mat, { blank, rest, tipHidden: false }, noLook, seesNone);
    await expect(settled).rejects.toThrow(/blank was not found in any photo.*shoot again/);
    await expect(settled).rejects.toThrow(InputError);
  });

  test('whose tip lies in no photo is asked for with paper beyond it', async () => {
    // as long again to both sides: no end shows
    const long = straightAxis(700, 2, 3, 10);
    const through = { ...long, points: long.points.map(([x, y, z]) => [x - 350, y, z] as const) };
    await expect(
      settleBlank(shoot(through), mat, { blank: { ...blank, length: 700 }, rest, tipHidden: false }, noLook, seesNone),
    ).rejects.toThrow(/tip end.*one more photo/);
    // Not so where the finder sees it from afar.
    const tips = Array.from({ length: 30 }, (_, i) => ({ t: 10 * (i - 20), v: 0, score: 0.9 }));
    const classes = {
      from: 0,
      across: 0,
      step: 1,
      rows: 0,
      columns: 0,
      classes: new Uint8Array(),
      certainty: new Uint8Array(),
    };
    const seen: LaneSeen = { view: 0, pixelsPerMm: 3, tips, classes };
    const seesTips = { ...noLook, seen: [seen, undefined] };
    const whole = { blank: { ...blank, length: 700 }, rest, tipHidden: false };
    const found = await settleBlank(shoot(through), mat, whole, seesTips, seesNone);
    expect(found.tipPhotos).toEqual([0]);
    expect(found.tipSigma).toBeGreaterThan(1);
  });
});

test('a bare blank that is in no photo is refused before anything is measured, whatever the plan says of it', async () => {
  const network = { run: (_: Float32Array, w: number, rows: number) => new Float32Array(22 * w * rows).fill(-9) };
  const finder = { strip: network, lane: network } as unknown as Finder;
  const tagged = paper.map(
    (photo): TaggedView => ({ photo, reading: { tags: [], twice: [], foreign: [] }, faults: [] }),
  );
  const asked = {
    plan: { blank: { ...blank, length: 0 }, positions: [] } as unknown as Plan,
    shoot: { stage: 'blank', rest, mat: {} } as unknown as Shoot,
    hands: oneHand(piecesBy(finder)),
  };
  await expect(findBlank(tagged, mat, asked)).rejects.toThrow(/blank was not found/);
  await expect(measurePlaced(tagged, mat, asked)).rejects.toThrow(InputError);
});

test('the finder looks at the lane when it is first asked, once a photo that was placed', async () => {
  let looks = 0;
  const run = (_: Float32Array, w: number, rows: number) => {
    looks++;
    return new Float32Array(15 * (w / 2) * (rows / 2)).fill(-9);
  };
  const tagged = paper.map(
    (photo): TaggedView => ({ photo, reading: { tags: [], twice: [], foreign: [] }, faults: [] }),
  );
  const look = laneLooks(oneHand(piecesBy({ lane: { run } } as unknown as Finder)), tagged);
  expect(looks).toBe(0);
  const placed = { ...mat, cameras: [cameras[0], undefined] } as unknown as MatSolution;
  const seen = await look(placed);
  expect(seen.seen.map(Boolean)).toEqual([true, false]);
  const before = looks;
  await look(placed);
  expect(looks).toBe(before);
});
