import type { Unit } from './units.ts';

/** What should be: the plan inside the code. Every length is in millimetres; `unit` says how the builder reads them. */
export interface Plan {
  title: string;
  unit: Unit;
  blank: Blank;
  positions: Position[];
  tolerance: Tolerance;
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
  /** mm along the blank from the tip end of the bare blank */
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
}

export interface Tolerance {
  /** mm */
  along: number;
  /** degrees */
  roll: number;
}

/** Common practice, no source. */
export const defaultTolerance: Tolerance = { along: 1.5, roll: 2 };
