import { beforeAll, describe, expect, test } from 'vitest';
import { type Finder, loadFinder } from '../../src/vision/finder/finder.ts';
import { type Peak, stripKinds, stripPeaks } from '../../src/vision/finder/peaks.ts';
import type { Planes } from '../../src/vision/finder/resample.ts';
import { finderWeights } from '../../src/vision/finder/weights_node.ts';
import { type HeldOut, heldOutEntries, readHeldOut } from './held_out.ts';
import { emptyScore, scorePeaks } from './score.ts';

const threshold = 0.4;
let finder: Finder;
let held: HeldOut[];

beforeAll(async () => {
  finder = await loadFinder(await finderWeights());
  const few = heldOutEntries('strips').filter(({ things, columns }) => columns < 1600 && things.length >= 2);
  held = await Promise.all(few.slice(0, 10).map(readHeldOut));
}, 60_000);

const look = (planes: Planes): Peak[] =>
  stripPeaks(finder.strip.run(planes.data, planes.width, planes.rows), planes).filter((p) => p.score >= threshold);

/** What the finder sees in a strip, looked for once for all tests. */
const known = new Map<Planes, Peak[]>();
function seen(planes: Planes): Peak[] {
  const peaks = known.get(planes) ?? look(planes);
  known.set(planes, peaks);
  return peaks;
}

/** The picture turned end for end: the tip side lies where the butt side lay. */
function mirrored(planes: Planes): Planes {
  const turned = { ...planes, data: new Float32Array(planes.data.length) };
  for (let row = 0; row < 3 * planes.rows; row++)
    for (let column = 0; column < planes.columns; column++)
      turned.data[row * planes.width + column] = planes.data[row * planes.width + planes.columns - 1 - column]!;
  return turned;
}

describe('the learned finder on rods it was never trained on', { timeout: 60_000 }, () => {
  test('sees nearly every guide in ten strips, and next to nothing else', () => {
    const scores = new Map(stripKinds.map((kind) => [kind as string, emptyScore()]));
    for (const { planes, things } of held) scorePeaks(seen(planes), things, scores);
    const sum = (pick: (s: ReturnType<typeof emptyScore>) => number) =>
      [...scores.values()].reduce((total, score) => total + pick(score), 0);
    expect(sum((s) => s.there)).toBeGreaterThan(20);
    expect(sum((s) => s.found) / sum((s) => s.there)).toBeGreaterThan(0.95);
    expect(sum((s) => s.false)).toBeLessThanOrEqual(1);
  });

  test('a strip turned end for end gives the mirrored list', () => {
    for (const { planes } of held.slice(0, 4)) {
      const sure = (peaks: Peak[]) => peaks.filter((peak) => peak.score > 0.6);
      const turned = look(mirrored(planes));
      const straight = sure(seen(planes));
      for (const peak of straight) {
        const column = planes.columns - 1 - peak.column;
        const same = turned.find((p) => p.kind === peak.kind && Math.hypot(p.column - column, p.row - peak.row) < 4);
        expect(same, `${peak.kind} at ${peak.column}`).toBeDefined();
        expect(Math.abs(Math.log2(same!.radius / peak.radius))).toBeLessThan(0.6);
        const [tip, butt] = [peak.footToward.tip, same!.footToward.butt];
        if (Math.abs(tip - 0.5) > 0.3)
          expect(butt > 0.5, `${peak.kind} at ${peak.column}: foot toward the tip`).toBe(tip > 0.5);
      }
      expect(Math.abs(sure(turned).length - straight.length)).toBeLessThanOrEqual(1);
    }
  });

  test('the same strip twice, after others, gives the same list', () => {
    const [first, second] = held as [HeldOut, HeldOut];
    const once = seen(first.planes);
    look(second.planes);
    expect(look(first.planes)).toEqual(once);
  });
});
