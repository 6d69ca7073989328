import type { PositionKind } from '../plan/plan.ts';

/** A measured value with its expanded uncertainty (k = 2, about 95 %); mm or degrees. */
export interface Measured {
  value: number;
  expanded: number;
}

export type RodVerdict = 'ready' | 'fix' | 'reshoot';

/** prewrap.report/1; every length in millimetres. */
export interface Report {
  schema: 'prewrap.report/1';
  unit: 'mm';
  stage: 'marks' | 'rings';
  verdict: RodVerdict;
  items: ReportItem[];
  extras: ReportExtra[];
  photos: ReportPhoto[];
  scale: { along: number; across: number; expanded: number };
  /** Plain sentences about the whole: what the pattern says, what to shoot next, what could not be used. */
  notes: string[];
}

export interface ReportItem {
  id: string;
  kind: PositionKind;
  planned: number;
  found: boolean;
  along?: Measured;
  alongVerdict: 'on' | 'off' | 'unsure' | 'missing';
  roll?: Measured;
  rollVerdict?: 'on' | 'off' | 'unsure';
  height?: Measured;
  ringOuter?: Measured;
  guideVerdict?: 'as-planned' | 'different' | 'unsure';
  /** Why it is likely off, one sentence. */
  cause?: string;
  /** What to do, one sentence in the plan's own unit. */
  advice?: string;
  /** Marks: width along the blank and colour as named to a person. */
  width?: Measured;
  colour?: string;
  /** Rings: the mark still visible beside the guide. */
  mark?: { along: Measured; fromRing: number };
  /** Set by the builder's own hand, not by the detector. */
  byHand?: boolean;
}

export interface ReportExtra {
  kind: 'mark' | 'ring';
  along: Measured;
}

export interface ReportPhoto {
  file: string;
  /** how many tags were read in it */
  tags: number;
  /** root mean square distance of its tag corners from the fit, pixels */
  residual: number;
  problems: string[];
}
