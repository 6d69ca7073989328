import type { Stretch } from './stretch.ts';
import { buttSideOf } from './pieces/joint.ts';
import type { Plan, Position } from './plan.ts';
import { blankDiameter } from './taper.ts';

/** How wraps are laid; mm. */
export interface WrapPractice {
  /** wrap on the bare blank before the foot starts */
  beyondFoot: number;
  threadDiameter: number;
  /** what a hook keeper takes up, its mark in the middle */
  keeperLength: number;
  /** thread on the bare blank under each guide, this far beyond its wraps; none when absent */
  underwrap?: number;
  /** a band of another colour outside each wrap of a guide, and how far from it; none when absent */
  trimBand?: number;
  trimGap?: number;
}

/** Common practice, no source. */
export const usualWraps: WrapPractice = { beyondFoot: 4, threadDiameter: 0.15, keeperLength: 24 };

/** How much of a snake guide's length one foot takes; common practice, no source. */
const snakeFoot = 0.27;

/**
 * Where the feet of a guide lie when its ring's centre is at its place; one for a single foot, two for a double. Empty
 * when the plan does not say how long a foot is and how far from the ring it starts.
 */
export function feetOf({ at, guide }: Position): Stretch[] {
  if (guide?.type === 'snake') {
    const [half, foot] = [guide.length / 2, snakeFoot * guide.length];
    return [
      { from: at - half, to: at - half + foot },
      { from: at + half - foot, to: at + half },
    ];
  }
  if (guide?.footLength === undefined || guide.reach === undefined) return [];
  const near = guide.reach;
  const far = guide.reach + guide.footLength;
  const toTip = { from: at - far, to: at - near };
  const toButt = { from: at + near, to: at + far };
  if (guide.foot === 'double') return [toTip, toButt];
  return [guide.footToward === 'tip' ? toTip : toButt];
}

/**
 * Where thread goes for a position: over each foot and `beyondFoot` past its outer end; from the mark to the tip for a
 * tip wrap; from the mark to the nearest ferrule or joint for a ferrule wrap; over the keeper. Empty where it is not
 * known.
 */
export function wrapsOf(position: Position, plan: Plan, practice: WrapPractice = usualWraps): Stretch[] {
  const { at, kind } = position;
  if (kind === 'guide') {
    return feetOf(position).map((foot) =>
      foot.from + foot.to < 2 * at
        ? { from: foot.from - practice.beyondFoot, to: foot.to }
        : { from: foot.from, to: foot.to + practice.beyondFoot },
    );
  }
  if (kind === 'hook-keeper') return [{ from: at - practice.keeperLength / 2, to: at + practice.keeperLength / 2 }];
  if (kind === 'tip-wrap') return at > 0 ? [{ from: 0, to: at }] : [];
  const ends = [
    ...(plan.fittings ?? []).filter((f) => f.kind === 'ferrule').flatMap((f) => [f.from, f.to]),
    ...(plan.joints ?? []).flatMap((joint) => [joint.at, buttSideOf(joint)]),
  ];
  const nearest = ends.toSorted((a, b) => Math.abs(a - at) - Math.abs(b - at))[0];
  if (nearest === undefined || nearest === at) return [];
  return [{ from: Math.min(at, nearest), to: Math.max(at, nearest) }];
}

/**
 * Thread for one wrap, mm: turns side by side, each pi times the diameter at the thread's own middle. The foot under it
 * takes a little more.
 */
export function threadFor(wrap: Stretch, plan: Plan, threadDiameter: number): { turns: number; length: number } {
  const turns = (wrap.to - wrap.from) / threadDiameter;
  const diameter = blankDiameter(plan.blank, (wrap.from + wrap.to) / 2, plan.section?.startsAt) + threadDiameter;
  return { turns, length: turns * Math.PI * diameter };
}
