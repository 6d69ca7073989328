import type { Unit } from './lengths/units.ts';

/** What should be: the plan inside the code. Every length is in millimetres; `unit` says how the builder reads them. */
export interface Plan {
  title: string;
  unit: Unit;
  /** where every `at` counts from; the tip end of the bare blank when absent */
  datum?: Exclude<PlanDatum, 'blank-tip'>;
  /** the blank that lies on the mat: the whole rod, or the one section the plan is for */
  blank: Blank;
  /** from tip to butt */
  positions: Position[];
  tolerance: Tolerance;
  /** where on a mark its position is read; the band's centre when absent */
  markedBy?: MarkedBy;
  /** set when the plan is for one section of a rod of several pieces */
  section?: Section;
  /** what already sits on the blank; a section's ferrule stands here too */
  fittings?: Fitting[];
  /**
   * from tip to butt, where the rod comes apart; `blank` is then the rod put together. With `section` those at its ends
   */
  joints?: Joint[];
  /** set when the tip-top is on: it hides the blank's end */
  tipTop?: TipTop;
}

export interface Blank {
  length: number;
  tipDiameter: number;
  buttDiameter: number;
  finish: 'dark' | 'light';
}

export type PositionKind = 'guide' | 'tip-wrap' | 'ferrule-wrap' | 'hook-keeper';

export interface Position {
  id: string;
  kind: PositionKind;
  /** mm along the blank from the plan's datum; from the rod's tip where the plan is for a section */
  at: number;
  guide?: Guide;
}

export type Guide = RingGuide | SnakeGuide;

/** What every guide has. */
interface AnyGuide {
  /** degrees from the roll reference to where the guide belongs, clockwise as seen from the butt; 0 when absent */
  roll?: number;
}

/** A guide with a ring: its place is the ring's centre. */
export interface RingGuide extends AnyGuide {
  type?: 'ring';
  /** outer and inner (bore) diameter of the ring, mm */
  ringOuter: number;
  ringInner: number;
  /** from the blank's surface to the ring's centre, mm */
  height: number;
  /** degrees the ring leans from square to the blank; positive lifts its normal away from the blank toward the butt */
  lean: number;
  foot: 'single' | 'double';
  /** length of one foot on the blank, mm */
  footLength?: number;
  /**
   * along the blank from the ring's centre to where a foot starts, mm; negative where the foot starts under the ring
   */
  reach?: number;
  /** which way a single foot points from the ring; `butt` when absent (common practice, no source) */
  footToward?: 'tip' | 'butt';
}

/** A guide of one bent wire: its place is the middle between its feet, its roll that of its arch. */
export interface SnakeGuide extends AnyGuide {
  type: 'snake';
  /** from the outer end of one foot to the outer end of the other, mm */
  length: number;
  /** from the blank's surface to the top of the wire, mm */
  height: number;
  /** thickness of the wire, mm */
  wire: number;
}

/**
 * Where a plan counts from: the tip end of the bare blank, the centre of the tip-top's ring, or the end of the
 * tip-top's tube on the butt side.
 */
export type PlanDatum = 'blank-tip' | 'tip-top-ring' | 'tube-end';

/** The guide glued over the blank's end: a tube closed toward the tip, with a ring. */
export interface TipTop {
  /** outer and inner (bore) diameter of the ring, mm */
  ringOuter: number;
  ringInner: number;
  /** length and bore of the tube, mm */
  tubeLength: number;
  tubeInner: number;
  /** degrees from the roll reference to where the ring belongs; 0 when absent */
  roll?: number;
  /** how far the blank's end sits behind the tube's closed end, mm; `usualHome` when absent */
  home?: number;
}

/**
 * How far behind a tube's closed end the blank's end sits, mm: 0.3 more or less are as likely as any value between
 * (common practice, no source).
 */
export const usualHome = { mm: 0.5, sigma: 0.3 / Math.sqrt(3) };

/** Where on a mark the builder set the distance: its centre, or its edge nearer the tip or the butt. */
export type MarkedBy = 'centre' | 'tip-edge' | 'butt-edge';

/**
 * One piece of a rod shot on its own. Distances run on across the pieces, so the piece's tip-side end (the tip itself,
 * or the ferrule end of a butt section) stands at `startsAt` mm from the rod's tip: measured arc length + `startsAt` =
 * `at`.
 */
export interface Section {
  startsAt: number;
  /** which piece of how many it is, counted from the tip, where it was taken from a plan of the whole rod */
  piece?: number;
  of?: number;
}

/**
 * Where two pieces of a rod meet. Lengths in mm; places count as the positions do, along the rod put together, so that
 * what lies inside of something else is counted once.
 */
export interface Joint {
  /** a plug glued into one piece that the other slides over, or one piece that slides over (or into) the other */
  kind: 'spigot' | 'sleeve';
  /** where the outside of the piece nearer the tip ends */
  at: number;
  /** spigot: how far it stands out of the piece that carries it; sleeve: how far one piece reaches into the other */
  length: number;
  /**
   * spigot: what shows between the two pieces put together, so that wear does not leave the joint loose; 0 when absent
   */
  gap?: number;
  /** sleeve: how far one piece may still travel into the other as the joint wears; not said when absent */
  play?: number;
  /** which piece goes into the other, or carries the spigot: the one nearer the butt when absent */
  inner?: 'tip' | 'butt';
}

/** A stretch of the rod that is taken: mm from the rod's tip. */
export interface Fitting {
  kind: 'ferrule' | 'winding-check' | 'grip' | 'reel-seat';
  from: number;
  to: number;
}

export interface Tolerance {
  /** mm */
  along: number;
  /** degrees */
  roll: number;
}

/** Common practice, no source. */
export const defaultTolerance: Tolerance = { along: 1.5, roll: 2 };

/** The guide, where it is one with a ring. */
export const ringOf = (guide: Guide | undefined): RingGuide | undefined =>
  guide?.type === 'snake' ? undefined : guide;

/**
 * What a line can run through, as a ring that stands so high: for a snake guide from the blank to the wire's underside.
 */
export function openingOf(guide: Guide): Pick<RingGuide, 'height' | 'ringInner'> {
  if (guide.type !== 'snake') return guide;
  const clear = guide.height - guide.wire;
  return { height: clear / 2, ringInner: clear };
}

/**
 * What is added to an arc length from the tip-side end of the blank on the mat, mm, to count it as the plan does; where
 * the datum is on the tip-top, as planned.
 */
export const planStart = (plan: Pick<Plan, 'section' | 'datum' | 'tipTop'>): number =>
  (plan.section?.startsAt ?? 0) - plannedDatum(plan);

/**
 * Where the plan's datum lies as planned, mm along from the tip end of the bare blank: the tube's end from its length;
 * the tip-top's ring is taken to stand over the tube's closed end, which is good enough to look things up by.
 */
export function plannedDatum({ datum, tipTop }: Pick<Plan, 'datum' | 'tipTop'>): number {
  if (!tipTop || !datum) return 0;
  const closedEnd = -(tipTop.home ?? usualHome.mm);
  return datum === 'tube-end' ? closedEnd + tipTop.tubeLength : closedEnd;
}
