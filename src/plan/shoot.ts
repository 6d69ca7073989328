/** One shoot of photos over the mat, inside the code; every length in millimetres. */
export interface Shoot {
  stage: 'marks' | 'rings';
  /** file names, relative to the shoot's own file */
  photos: string[];
  mat: MatReadings;
  rest: Rest;
  rollReference: RollReference;
  /**
   * degrees from the spine line to where the rings belong, clockwise as seen from the butt looking toward the tip; 0 when
   * absent, 180 for rings opposite the spine
   */
  rollAngle?: number;
  /** file name of the report of an earlier marks shoot to compare with, relative to the shoot's own file */
  earlierMarks?: string;
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
