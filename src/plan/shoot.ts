/**
 * What the photos show: the bare blank, the marks on it, the guides taped on over them, or the guides under thread before
 * the finish goes on.
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
   * degrees from the spine line to where the rings belong, clockwise as seen from the butt looking toward the tip; 0 when
   * absent, 180 for rings opposite the spine
   */
  rollAngle?: number;
  /** file name of the report of an earlier marks shoot to compare with, relative to the shoot's own file */
  earlierMarks?: string;
  /** what the builder pointed out in photos where detection failed */
  byHand?: HandPlace[];
  /**
   * a blank shoot: degrees the blank was turned about its axis since the first, clockwise as seen from the butt; by eye,
   * good to 5
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

/** What the builder measured on the printed mat. */
export interface MatReadings {
  /** the two check bars, nominally 100 mm, by a rule; absent when not measured */
  barAlong?: number;
  barAcross?: number;
  /** tape reading from the outer (tip-side) edge of `fromTag`'s square to the outer (butt-side) edge of `toTag`'s */
  span?: { fromTag: number; toTag: number; length: number };
}

/** How the blank lies: on the mat with its grip, or on blocks that hold its axis at one height above the paper. */
export type Rest = { kind: 'flat'; gripDiameter?: number } | { kind: 'blocks'; axisHeight: number };

export type RollReference = 'seat-card' | 'spine-line' | 'guides';
