/** A value with its standard uncertainty (k = 1), in the value's own unit. */
export interface Estimate {
  value: number;
  u: number;
}
