import { expect, test } from 'vitest';
import { classNames, type LaneSeen } from '../../src/vision/finder/sighting.ts';
import { laneClassBehind } from '../../src/vision/lane_class.ts';

/** A lane turned by a quarter on the bench, in cells of 1 mm: blank where 0 <= t < 10 and v = 0, paper elsewhere. */
const lane = { origin: [50, 20], direction: [0, 1], from: -20, to: 40 } as const;
const [columns, rows] = [60, 21];
const cells = Array.from({ length: columns * rows }, (_, i) => {
  const [t, v] = [-20 + (i % columns), -10 + Math.floor(i / columns)];
  return classNames.indexOf(v === 0 && t >= 0 && t < 10 ? 'blank' : 'paper');
});
const seen: LaneSeen = {
  tips: [],
  classes: {
    from: -20,
    across: -10,
    step: 1,
    rows,
    columns,
    classes: Uint8Array.from(cells),
    certainty: Uint8Array.from(cells, (_, i) => (i === 0 ? 0 : 200)),
  },
} as unknown as LaneSeen;

test('a place on the paper shows its own cell, turned as the lane is', () => {
  const eye = [50, 20, 400] as const;
  expect(laneClassBehind(seen, lane, eye, [50, 25, 0])).toBe('blank');
  expect(laneClassBehind(seen, lane, eye, [50, 35, 0])).toBe('paper');
  expect(laneClassBehind(seen, lane, eye, [53, 25, 0])).toBe('paper');
});

test('a place above it hides the paper that the line of sight goes on to', () => {
  // From 40 mm aside and 400 up, what stands 100 mm over (50 - 10, 25) hides the paper at 50.
  expect(laneClassBehind(seen, lane, [10, 25, 400], [40, 25, 100])).toBe('blank');
  expect(laneClassBehind(seen, lane, [10, 25, 400], [42, 25, 100])).toBe('paper');
});

test('beyond what was looked at, and where the photo shows nothing, it says nothing', () => {
  const eye = [50, 20, 400] as const;
  expect(laneClassBehind(seen, lane, eye, [50, 120, 0])).toBeUndefined();
  expect(laneClassBehind(seen, lane, eye, [90, 25, 0])).toBeUndefined();
  expect(laneClassBehind(seen, lane, eye, [60, 0, 0])).toBeUndefined();
});
