import type { Estimate } from '../numerics/estimate.ts';
import { coverageFactor } from './decision.ts';
import type { Measured } from './report.ts';

/** An estimate as a report says it: with its expanded uncertainty, in the same unit. */
export const expanded = ({ value, u }: Estimate): Measured => ({ value, expanded: coverageFactor * u });

/** The same, counted from elsewhere. */
export const shifted = (estimate: Estimate, by: number): Measured =>
  expanded({ ...estimate, value: estimate.value + by });
