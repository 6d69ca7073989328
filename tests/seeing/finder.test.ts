import { beforeAll, describe, expect, test } from 'vitest';
import { type Finder, loadFinder } from '../../src/vision/finder/finder.ts';
import { type Peak, stripKinds, stripPeaks } from '../../src/vision/finder/peaks.ts';
import type { Planes } from '../../src/vision/finder/resample.ts';
import { finderWeights } from '../../src/vision/finder/weights_node.ts';
import { tipTold, upsideDown } from '../../src/vision/finder/look_at_tip.ts';
import { tipSampling } from '../../src/vision/finder/sheet.ts';
import { type HeldOut, type HeldOutTip, heldOutEntries, heldOutTips, readHeldOut } from './held_out.ts';
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

describe('the finder near the tip ends of rods it was never trained on', { timeout: 60_000 }, () => {
  let tips: HeldOutTip[];
  const offOf = ({ planes, end }: HeldOutTip) => {
    const told = tipTold(finder, planes);
    return (
      told &&
      end && {
        mm: Math.abs(told.column - end.column) * tipSampling.step,
        ratio: (told.column - end.column) / told.sigma,
      }
    );
  };
  beforeAll(async () => void (tips = await heldOutTips()));

  test('tells nearly all, to a tenth of a millimetre, as well as it says, and none where there is none', () => {
    const there = tips.filter(({ end }) => end);
    const told = there.flatMap((tip) => offOf(tip) ?? []);
    expect(there.length).toBeGreaterThan(120);
    expect(told.length / there.length).toBeGreaterThan(0.97);
    expect(told.filter(({ mm }) => mm < 1).length / told.length).toBeGreaterThan(0.97);
    expect(told.map(({ mm }) => mm).sort((a, b) => a - b)[told.length >> 1]).toBeLessThan(0.07);
    const near = told.filter(({ mm }) => mm < 1);
    const spread = Math.sqrt(near.reduce((sum, { ratio }) => sum + ratio ** 2, 0) / near.length);
    expect(spread).toBeGreaterThan(0.5);
    expect(spread).toBeLessThan(1.2);
    const elsewhere = tips.filter(({ end }) => !end);
    expect(elsewhere.length).toBeGreaterThan(15);
    expect(elsewhere.filter(({ planes }) => tipTold(finder, planes)).length).toBeLessThanOrEqual(1);
  });

  test('a strip turned left for right has its end at the same place', () => {
    for (const { planes } of tips.slice(0, 12)) {
      const { data, width, rows } = planes;
      const told = tipTold(finder, planes);
      const turned = tipTold(finder, { ...planes, data: upsideDown(data, width, rows) });
      expect(turned === undefined).toBe(told === undefined);
      if (told) expect(turned!.column).toBeCloseTo(told.column, 3);
    }
  });
});
