import { expect, test } from 'vitest';
import { cardStart } from '../../src/adjust/card_start.ts';
import { laneOf } from '../../src/adjust/mat_lane.ts';
import { startMat } from '../../src/adjust/mat_start.ts';
import { rotationMatrix } from '../../src/geometry/rotation.ts';
import { layTiles, observeTags, type World, walk } from '../world/world.ts';

/** A mat without any error: flat, printed true, its pages laid by hand, seen through lenses that are known. */
function bench(options: Parameters<typeof layTiles>[0] = {}, photos = 4): World {
  const laid = layTiles({ tiles: 4, shift: 3, turn: 1.5, seed: 5, ...options });
  const xs = laid.tiles.map(({ x }) => x);
  return {
    ...laid,
    cameras: walk({ photos, from: Math.min(...xs), to: Math.max(...xs), distortion: [0, 0, 0, 0, 0] }),
  };
}
const started = (world: World, seen = world.cameras) =>
  startMat(
    seen.map((shot) => observeTags(world, shot)),
    seen.map(({ camera }) => camera.intrinsics),
  );

test.each([
  ['pages in a row', {}],
  ['pages that count from butt to tip, turned half round', { tipAtLastTile: true }],
])('%s are found where they lie against the lowest-numbered one, and so are the cameras', (_, options) => {
  const world = bench(options);
  const start = started(world)!;
  expect(start.reference).toBe(0);
  const base = world.tiles[0]!;
  const [c, s] = [Math.cos(base.yaw), Math.sin(base.yaw)];
  for (const { tile, x, y, yaw } of world.tiles) {
    const found = start.tiles.get(tile)!;
    const [dx, dy] = [x - base.x, y - base.y];
    expect(found.x).toBeCloseTo(c * dx + s * dy, 4);
    expect(found.y).toBeCloseTo(-s * dx + c * dy, 4);
    expect(Math.sin(found.yaw - (yaw - base.yaw))).toBeCloseTo(0, 6);
  }
  for (const [i, pose] of start.poses.entries()) {
    const eye = world.cameras[i]!.camera;
    const m = rotationMatrix(pose!.rotation);
    const t = pose!.translation;
    const own = [0, 1, 2].map((k) => -(m[k]! * t[0] + m[3 + k]! * t[1] + m[6 + k]! * t[2]));
    const [mw, tw] = [eye.matrix, eye.pose.translation];
    const truly = [0, 1, 2].map((k) => -(mw[k]! * tw[0] + mw[3 + k]! * tw[1] + mw[6 + k]! * tw[2]));
    expect(own[2]).toBeCloseTo(truly[2]!, 3);
    expect(own[0]).toBeCloseTo(c * (truly[0]! - base.x) + s * (truly[1]! - base.y), 3);
  }
});

test('photos that share no page with the rest are left out; of no two tags of a page nothing starts', () => {
  const world = bench();
  const [first, , , last] = world.cameras;
  const apart = started(world, [first!, first!, last!])!;
  expect(apart.poses.map(Boolean)).toEqual([true, true, false]);
  const few = observeTags(world, first!).slice(0, 1);
  expect(startMat([few, few], [first!.camera.intrinsics, first!.camera.intrinsics])).toBeUndefined();
  expect(startMat([], [])).toBeUndefined();
});

test('the lane runs through the pages’ middles, from half a page before the first to half a page after the last', () => {
  const lane = laneOf({
    tiles: [0, 1, 2].map((tile) => ({ tile, x: 100 + 300 * tile, y: 50 + 30 * tile, yaw: 0, heights: [] })),
  });
  expect(lane.origin).toEqual([400, 80]);
  expect(Math.atan2(lane.direction[1], lane.direction[0])).toBeCloseTo(Math.atan2(30, 300), 9);
  expect(lane.to - lane.from).toBeCloseTo(2 * Math.hypot(300, 30) + 340, 6);
  const alone = laneOf({ tiles: [{ tile: 3, x: 5, y: 6, yaw: 0.3, heights: [] }] });
  expect(alone.direction[1]).toBeCloseTo(Math.sin(0.3), 9);
});

test('a level seat card starts where it stands, turned as it lies; without a sighting it starts nowhere', () => {
  const yaw = 0.4;
  const world: World = { ...bench(), card: { rotation: [0, 0, yaw], centre: [620, 20, 25] } };
  const shot = world.cameras[2]!;
  const tags = observeTags(world, shot).filter(({ id }) => id > 579);
  const start = cardStart(tags.map((tag) => ({ tag, camera: shot.camera })))!;
  [0, 0, yaw, 620, 20, 25].forEach((value, i) => expect(start[i]).toBeCloseTo(value, 3));
  expect(cardStart([])).toBeUndefined();
});
