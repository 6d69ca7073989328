import type { Unit } from './lengths/units.ts';

/** What should be: the plan inside the code. Every length is in millimetres; `unit` says how the builder reads them. */
export interface Plan {
  title: string;
  unit: Unit;
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
  /** mm along the blank from the tip end of the bare blank; from the rod's tip where the plan is for a section */
  at: number;
  guide?: Guide;
}

export interface Guide {
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
  /** along the blank from the ring's centre to where a foot starts, mm; negative where the foot starts under the ring */
  reach?: number;
  /** which way a single foot points from the ring; `butt` when absent (common practice, no source) */
  footToward?: 'tip' | 'butt';
}

/** Where on a mark the builder set the distance: its centre, or its edge nearer the tip or the butt. */
export type MarkedBy = 'centre' | 'tip-edge' | 'butt-edge';

/**
 * One piece of a rod shot on its own. Distances run on across the pieces, so the piece's tip-side end (the tip itself, or
 * the ferrule end of a butt section) stands at `startsAt` mm from the rod's tip: measured arc length + `startsAt` = `at`.
 */
export interface Section {
  startsAt: number;
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
