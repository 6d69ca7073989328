import { expect, test } from 'vitest';
import { project } from '../../src/geometry/camera.ts';
import { emptyPhoto } from '../../src/photo/luma.ts';
import { type ClassName, classNames } from '../../src/vision/finder/sighting.ts';
import { finishSeen } from '../../src/vision/finish_seen.ts';
import { type Lane, lanePoint } from '../../src/vision/lane.ts';
import type { LaneLook } from '../../src/vision/lane_look.ts';
import { blankOnPaper, paint } from '../world/made_up_sightings.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const lane: Lane = { origin: [0, 0], direction: [1, 0], from: 0, to: 300 };
const [width, height] = [700, 240];
const camera = cameraLookingAt([150, 0, 300], [150, 0, 0], 600, width, height);

/** A lane with a blank and its shadow beside it, as the finder names them and as the photo shows them. */
function shown(lumas: Partial<Record<ClassName, number>>, named: { certainty?: number; shadow?: boolean } = {}) {
  const classes = blankOnPaper(straightAxis(300, 2, 4, 0), { from: 0, to: 300 });
  if (named.shadow ?? true)
    for (let along = 4; along < 300; along += 8) paint(classes, 'shadow', { along, across: 10, half: 4 });
  classes.certainty.fill(named.certainty ?? 240);
  const photo = emptyPhoto('1.jpg', width, height);
  for (let row = 0; row < classes.rows; row++)
    for (let column = 0; column < classes.columns; column++) {
      const name = classNames[classes.classes[row * classes.columns + column]!]!;
      const [x, y] = project(
        camera,
        lanePoint(lane, classes.from + column * classes.step, classes.across + row * classes.step, 0),
      )!;
      for (let py = Math.round(y) - 2; py <= Math.round(y) + 2; py++)
        for (let px = Math.round(x) - 2; px <= Math.round(x) + 2; px++)
          if (px >= 0 && py >= 0 && px < width && py < height) photo.luma[py * width + px] = lumas[name] ?? 0;
    }
  const look: LaneLook = { lane, seen: [undefined, { view: 0, pixelsPerMm: 2, tips: [], classes }] };
  return finishSeen([emptyPhoto('0.jpg', width, height), photo], [undefined, camera], look);
}

test.each([
  ['black, its shadow grey', { paper: 210, shadow: 130, blank: 40 }, 'dark'],
  ['ivory in hard sun', { paper: 210, shadow: 60, blank: 180 }, 'light'],
  ['honey, no lighter than its soft shadow', { paper: 210, shadow: 150, blank: 120 }, undefined],
  ['as dark as its shadow', { paper: 210, shadow: 60, blank: 60 }, undefined],
  ['white in a soft shadow nearly as light', { paper: 210, shadow: 190, blank: 200 }, undefined],
])('%s', (_, lumas, finish) => {
  expect(shown(lumas)).toBe(finish);
});

test('nothing is told where the finder is not sure, or names no shadow', () => {
  const black = { paper: 210, shadow: 130, blank: 40 };
  expect(shown(black, { certainty: 120 })).toBeUndefined();
  expect(shown(black, { shadow: false })).toBeUndefined();
});
