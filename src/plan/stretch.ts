/** A stretch of the rod: arc lengths from its tip toward the butt, mm. */
export interface Stretch {
  from: number;
  to: number;
}
