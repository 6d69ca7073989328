import { coverageFactor } from './decision.ts';
import type { MeasuredPlace, MeasuredScale } from './measured_shoot.ts';

/**
 * The expanded uncertainty a place is judged by, mm: without the scale where the tape that laid off the marks measured
 * the span too. Only how that span was read stays, for its reading is not the marks'.
 */
export const judgedDoubt = ({ along, apart }: MeasuredPlace, { tape }: MeasuredScale): number =>
  coverageFactor * (tape === undefined || apart === undefined ? along.u : Math.hypot(apart, tape * along.value));
