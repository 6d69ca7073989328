import { laneOf } from '../adjust/mat_lane.ts';
import { type ButtEnd, buttEnd } from '../vision/butt_end.ts';
import { bleedIn, type MatSolution } from '../adjust/mat_summary.ts';
import { blankRadius } from '../geometry/blank_axis.ts';
import type { Blank } from '../plan/plan.ts';
import { findRod, laneLooks, type LookOnMat, type Rod, type RodAsked } from './rod.ts';
import type { TaggedView } from './tagged_views.ts';

const search = {
  /** a blank nobody has measured yet: its diameters, mm */
  tipDiameter: 2.5,
  buttDiameter: 11,
  /** looks at most: each takes the blank for what the one before found */
  looks: 4,
  /** outlines that go on to so near the expected end may go on beyond it, mm */
  nearEnd: 25,
  /** how much longer it is taken to be then */
  longer: 1.4,
  /** the outlines end so much before the last place they are looked for at, mm */
  beyondLast: 5,
  /** a look agrees with what was expected: mm of length, share and mm of diameter */
  sameLength: 12,
  sameDiameter: 0.04,
  sameExtra: 0.1,
} as const;

/** The bare blank as the photos have it, its own length and taper no longer the plan's. */
export interface BlankOnMat {
  rod: Rod;
  blank: Blank;
  /** where the outlines end: at a grip, at the butt, or where the photos do; mm from the tip */
  outlinesTo: number;
  /** undefined where a grip covers it, or no photo shows it */
  butt: ButtEnd | undefined;
}

/**
 * Finds the blank without taking the plan's word for its size: looked for as planned, then again as it was found, until
 * the two agree. Throws InputError where the blank or its tip is not found, or the rod moved sideways.
 */
export async function findBlank(tagged: readonly TaggedView[], mat: MatSolution, asked: RodAsked): Promise<BlankOnMat> {
  const lane = laneOf(mat);
  const longest = lane.to - lane.from;
  let expected = startFrom(asked.plan.blank, longest);
  const lookOn = laneLooks(asked.hands, tagged);
  let found = await lookAs(expected, tagged, mat, asked, lookOn);
  for (let look = 1; look < search.looks; look++) {
    const { blank, butt, outlinesTo, rod } = found;
    const goesOn = !butt && rod.blank.grip === undefined && outlinesTo > expected.length - search.nearEnd;
    if (!goesOn && agree(blank, expected)) break;
    const length = goesOn ? Math.min(expected.length * search.longer, longest) : blank.length;
    if (goesOn && length <= expected.length) break;
    expected = { ...blank, length, buttDiameter: diameterAt(blank, length) };
    found = await lookAs(expected, tagged, mat, asked, lookOn);
  }
  return found;
}

const startFrom = (planned: Blank, longest: number): Blank => ({
  finish: planned.finish,
  length: planned.length > 0 ? planned.length : longest,
  tipDiameter: planned.tipDiameter > 0 ? planned.tipDiameter : search.tipDiameter,
  buttDiameter: planned.buttDiameter > 0 ? planned.buttDiameter : search.buttDiameter,
});

async function lookAs(
  expected: Blank,
  tagged: readonly TaggedView[],
  mat: MatSolution,
  asked: RodAsked,
  lookOn: LookOnMat,
): Promise<BlankOnMat> {
  const { tipTop: _, datum: __, ...bare } = asked.plan;
  const rod = await findRod(tagged, mat, { ...asked, plan: { ...bare, blank: expected } }, lookOn);
  const { evidence, values, model, grip, axis } = rod.blank;
  const outlinesTo = grip ?? evidence.problem.to - values[model.tip]! - search.beyondLast;
  const butt = grip === undefined ? endAtButt(rod, outlinesTo) : undefined;
  const tipDiameter = 2 * blankRadius(axis, 0);
  const lastDiameter = 2 * blankRadius(axis, outlinesTo);
  const length = butt?.along ?? (grip === undefined ? outlinesTo : Math.max(expected.length, outlinesTo));
  const seen = { ...expected, length: outlinesTo, tipDiameter, buttDiameter: lastDiameter };
  return { rod, outlinesTo, butt, blank: { ...seen, length, buttDiameter: diameterAt(seen, length) } };
}

const endAtButt = ({ mat, views, blank }: Rod, near: number): ButtEnd | undefined =>
  buttEnd(
    views.list,
    blank.axis,
    near,
    views.photo.map((photo) => bleedIn(mat, photo)),
  );

const diameterAt = ({ length, tipDiameter, buttDiameter }: Blank, s: number): number =>
  tipDiameter + ((buttDiameter - tipDiameter) * s) / length;

const agree = (a: Blank, b: Blank): boolean =>
  Math.abs(a.length - b.length) < search.sameLength &&
  ([a.tipDiameter - b.tipDiameter, a.buttDiameter - b.buttDiameter] as const).every(
    (off) => Math.abs(off) < search.sameDiameter * b.buttDiameter + search.sameExtra,
  );
