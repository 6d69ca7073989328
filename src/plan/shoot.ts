/**
 * What the photos show: the bare blank, the marks on it, the guides taped on over them, or the guides under thread
 * before the finish goes on.
 */
export type Stage = 'blank' | 'marks' | 'rings' | 'wrapped';

/** Whether guides are what a shoot of this stage checks. */
export const guidesAreOn = (stage: Stage): boolean => stage === 'rings' || stage === 'wrapped';

/** More photos than this are no walk along one rod. */
export const mostPhotos = 500;

/** One shoot of photos over the mat, inside the code; every length in millimetres. */
export interface Shoot {
  stage: Stage;
  /** file names, relative to the shoot's own file */
  photos: string[];
  mat: MatReadings;
  rest: Rest;
  /** of a blank shoot always `guides`, and never looked at: its file carries none */
  rollReference: RollReference;
  /**
   * degrees from the spine line to where the rings belong, clockwise as seen from the butt looking toward the tip; 0
   * when absent, 180 for rings opposite the spine
   */
  rollAngle?: number;
  /** file name of the report of an earlier marks shoot to compare with, relative to the shoot's own file */
  earlierMarks?: string;
  /** what the builder pointed out in photos where detection failed */
  byHand?: HandPlace[];
  /** the piece of the rod that lies on the mat, counted from the tip; all of what the plan is for when absent */
  piece?: number;
  /**
   * a blank shoot: degrees the blank was turned about its axis since the first, clockwise as seen from the butt; by
   * eye, good to 5
   */
  turn?: number;
}

/** Places pointed out in one photo for one planned item: on the mark's middle, or on the ring's outer rim. */
export interface HandPlace {
  id: string;
  /** one of the shoot's photos */
  photo: string;
  /** pixels of the upright photo; (0, 0) is the centre of the first pixel */
  points: [number, number][];
}

/** The tape over the mat between two tags of one row. */
export interface Span {
  fromTag: number;
  toTag: number;
  length: number;
  /** the same length read again, the tape lifted in between */
  again?: number[];
}

/** What the builder measured on the printed mat. */
export interface MatReadings {
  /** a page's row of five squares, outer edge to outer edge, nominally 224 mm, by a rule; absent when not measured */
  rowAlong?: number;
  /** from the top edge of the upper row to the bottom edge of the lower one, nominally 168 mm, by a rule */
  rowAcross?: number;
  /** the two check bars of mats printed before, nominally 100 mm, by a rule */
  barAlong?: number;
  barAcross?: number;
  /** tape reading from the outer (tip-side) edge of `fromTag`'s square to the outer (butt-side) edge of `toTag`'s */
  span?: Span;
}

/** How the blank lies: on the mat with its grip, or on blocks that hold its axis at one height above the paper. */
export type Rest = { kind: 'flat'; gripDiameter?: number } | { kind: 'blocks'; axisHeight: number };

export type RollReference = 'seat-card' | 'spine-line' | 'guides';
