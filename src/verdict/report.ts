import type { PositionKind } from '../plan/plan.ts';
import type { Stage } from '../plan/shoot.ts';
import type { Pattern } from './pattern.ts';

/** A measured value with its expanded uncertainty (k = 2, about 95 %); mm or degrees. */
export interface Measured {
  value: number;
  expanded: number;
}

/**
 * Where a place's standard uncertainty along comes from, mm each, added in squares: the tape and rule that set the
 * scale; the camera and mat geometry; reading the ring or mark in the picture; the tip the distance is counted from.
 */
export interface UncertaintyParts {
  scale: number;
  geometry: number;
  reading: number;
  tip: number;
}

/**
 * A place along the rod; `apart` is its expanded uncertainty without the share of the tape, which all places have in
 * common.
 */
export interface Along extends Measured {
  apart?: number;
}

/**
 * What the photos say of a planned place: found; not there, where the bare blank shows clearly; not made out, where the
 * place shows but the thing does not; in no photo.
 */
export type Sighting = 'found' | 'not-there' | 'not-made-out' | 'in-no-photo';

export type RodVerdict = 'ready' | 'fix' | 'reshoot';

/** prewrap.report/1; every length in millimetres. */
export interface Report {
  schema: 'prewrap.report/1';
  unit: 'mm';
  stage: Stage;
  verdict: RodVerdict;
  items: ReportItem[];
  extras: ReportExtra[];
  photos: ReportPhoto[];
  /** `shared`: places are judged without the tape's own scale, which is also that of the marks it laid off */
  scale: { along: number; across: number; expanded: number; shared?: true };
  /** How far the farthest of the mat's squares stood off their common plane, mm. */
  flatWithin?: number;
  /** What was kept from photos taken before, of this camera: whether it joined in. */
  profiles?: ReportProfile[];
  /** A walk of four or more photos, worked out once from every other photo and once from the rest. */
  halves?: ReportHalves;
  /** Plain sentences about the whole: what the pattern says, what to shoot next, what could not be used. */
  notes: string[];
  /** What the offsets of the whole rod say together, where the numbers support it. */
  patterns?: Pattern[];
  /** The tip-top, where the plan has one. */
  tipTop?: ReportTipTop;
  /** Where the rod slid lengthwise between two photos and that was taken into account. */
  slides?: ReportSlide[];
  /** The piece of a rod with joints that lay on the mat by itself; absent where it lay there put together. */
  piece?: { number: number; of: number };
  /** A rod with joints put together: how its pieces lie against each other. */
  joints?: ReportJoint[];
  /** The single further photo that shrinks the doubt most that keeps verdicts open. */
  nextPhoto?: ReportNextPhoto;
  /** A blank shoot: what was measured of the bare blank. */
  blank?: ReportBlank;
}

/** Something kept from photos taken before; one that the photos contradict is not used. */
export interface ReportProfile {
  kind: 'lens' | 'mat';
  name: string;
  used: boolean;
}

/** How two halves of a walk agree. */
export interface ReportHalves {
  /** the largest difference along of a place, mm */
  apart: number;
  /** how many times as large the doubt from cameras and pages had to become to fit; absent where it fitted */
  widened?: number;
}

export interface ReportNextPhoto {
  /** what it is taken over */
  over: { id: string } | 'tip' | 'seat-card';
  /** straight above it, from the rod's side at a slant, or from nearer to the tip or the butt, looking back */
  from: 'above' | 'side' | 'tip' | 'butt';
  /** of the camera over the paper, mm */
  height: number;
  /** the page it is aimed at (counted from 0), and where on it: nominal mm from its middle along the row of squares */
  aim: { tile: number; u: number };
  /** how far the camera stands from straight above: along the row of squares, and to either side of the rod, mm */
  stand: { along: number; across: number };
  /** expanded uncertainties of open verdicts, mm or degrees: as they are, and as predicted with the photo */
  expects: { id: string; on: 'along' | 'roll'; before: number; after: number; settles: boolean }[];
}

export interface ReportTipTop {
  sighting: Sighting;
  roll?: Measured;
  rollVerdict: 'on' | 'off' | 'unsure';
  /** its roll is off because its piece is turned in this joint */
  turnedByJoint?: number;
  /** What to do, one sentence. */
  advice?: string;
}

export interface ReportSlide {
  /** the photo after which the rod lay elsewhere, by its file name */
  afterPhoto: string;
  /** mm, positive toward the butt */
  along: Measured;
}

export interface ReportJoint {
  /** the first is 1, between the piece with the tip and the next */
  joint: number;
  /** mm, as planned */
  at: number;
  /** degrees the piece nearer the tip is turned against the other, clockwise as seen from the butt */
  roll?: Measured;
  rollVerdict?: 'on' | 'off' | 'unsure';
  /** how many rings of the two pieces tell it, the one nearer the tip first */
  rings?: [number, number];
  /** mm the pieces stand further apart than planned */
  open?: Measured;
}

export interface ReportBlank {
  /** tip to butt; absent where a grip covers the butt end or no photo shows it */
  length?: Measured;
  /** where the grip begins, mm from the tip */
  grip?: Measured;
  /** [mm from the tip, diameter in mm, its expanded uncertainty] */
  diameters: [number, number, number][];
  /** [mm from the tip, to the right as seen from the butt, up], mm from the chord between the first and last place */
  bow: [number, number, number][];
  /** expanded uncertainties of `bow`, row by row: sideways, up */
  bowExpanded?: [number, number][];
  /**
   * what stands out of its outline: mm from the tip, and by how much thicker than the blank, mm of diameter: a
   * ferrule or sleeve; against the grip a check, or what may be the grip's own front; or what is not named
   */
  fittings?: {
    kind: 'ferrule' | 'winding-check' | 'at-grip' | 'not-made-out';
    from: Measured;
    to: Measured;
    thicker: number;
  }[];
  /**
   * a line drawn along it: mm from the tip it runs over, and its roll as the blank lies, degrees clockwise from the top
   * as seen from the butt; absent where none was made out
   */
  line?: { from: number; to: number; roll: Measured };
  /** as in the shoot */
  turn?: number;
  lies?: 'flat' | 'blocks';
}

export interface ReportItem {
  id: string;
  kind: PositionKind;
  planned: number;
  /** true where `sighting` is `found`, and in no other case */
  found: boolean;
  sighting?: Sighting;
  /** Not there: files of the photos that clearly show bare blank at the place. */
  bareIn?: string[];
  /** Not made out: files of the photos that show its place, all with something else over it. */
  coveredIn?: string[];
  along?: Along;
  alongVerdict: 'on' | 'off' | 'unsure' | 'missing';
  roll?: Measured;
  /** degrees from the reference to where the plan has it, where that is not 0 */
  plannedRoll?: number;
  rollVerdict?: 'on' | 'off' | 'unsure';
  /** its roll is off because its piece is turned in this joint */
  turnedByJoint?: number;
  height?: Measured;
  ringOuter?: Measured;
  ringInner?: Measured;
  /** The guide's foot lies toward the other end than planned. */
  setWrongWay?: true;
  guideVerdict?: 'as-planned' | 'different' | 'unsure';
  /** Why it is likely off, one sentence. */
  cause?: string;
  /** What to do, one sentence in the plan's own unit. */
  advice?: string;
  /** Marks: width along the blank and colour as named to a person. */
  width?: Measured;
  colour?: string;
  /** Rings: the mark still visible beside the guide; `fromRing` is ring minus mark, mm, positive toward the butt. */
  mark?: { along: Measured; fromRing: number };
  /** Where the doubt of `along` comes from, mm, standard uncertainties (k = 1). */
  uncertainty?: UncertaintyParts;
  /** Set by the builder's own hand, not by the detector. */
  byHand?: boolean;
}

export interface ReportExtra {
  kind: 'mark' | 'ring';
  along: Measured;
  /** The planned item that has its own mark or ring within a few mm of this one. */
  doubleOf?: string;
  /** What to do, one sentence in the plan's own unit. */
  advice?: string;
}

export interface ReportPhoto {
  file: string;
  /** how many tags were read in it */
  tags: number;
  /** root mean square distance of its tag corners from the fit, pixels */
  residual: number;
  problems: string[];
}
