/** Covariances of named unknowns, each with each; symmetric. */
export type Covariance<Name extends string> = Readonly<Record<Name, Readonly<Record<Name, number>>>>;

/** The covariance of some names, each entry as `between` has it. */
export function covarianceOf<Name extends string>(
  names: readonly Name[],
  between: (a: Name, b: Name) => number,
): Covariance<Name> {
  const row = (a: Name) => Object.fromEntries(names.map((b) => [b, between(a, b)])) as Record<Name, number>;
  return Object.fromEntries(names.map((a) => [a, row(a)])) as Record<Name, Record<Name, number>>;
}

/** Standard deviation of one of them. */
export const sigmaOf = <Name extends string>(covariance: Covariance<Name>, name: Name): number =>
  Math.sqrt(covariance[name][name]);
