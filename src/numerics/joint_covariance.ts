import { choleskyInverse } from './cholesky.ts';
import type { ResidualBlock } from './residual_block.ts';
import { backward, normalEquations, type Reduced, reduced, scaleToUnitDiagonal } from './normal_equations.ts';
import { type Sorting, sortUnknowns } from './unknowns.ts';

/**
 * The covariance of a problem's parameters, those that were held being known without doubt: of its unknowns, scaled, in
 * the parts that the elimination of groups leaves.
 */
export interface JointCovariance {
  /** parameter index of each unknown: those that many blocks share first, then group by group */
  free: readonly number[];
  sharedCount: number;
  /** each parameter's place among the unknowns, -1 where it was held; each unknown's group, -1 where it is shared */
  column: Int32Array;
  groupAt: Int32Array;
  /** what each unknown is divided by */
  lengths: Float64Array;
  /** shared x shared */
  shared: Float64Array;
  groups: readonly GroupPart[];
}

/** A group's unknowns: their covariance with the shared ones, and what eliminated them. */
export interface GroupPart {
  first: number;
  size: number;
  met: Int32Array;
  /** inverse of its own part, size x size */
  inverse: Float64Array;
  /** own part's inverse times what ties it to the shared unknowns, size x met */
  tie: Float64Array;
  /** with the shared unknowns, size x shared */
  withShared: Float64Array;
  /** among themselves, size x size */
  among: Float64Array;
}

/**
 * Covariance at a minimum, the residuals being whitened: the inverse of the normal matrix, kept in the parts that the
 * elimination of `groups` leaves (Triggs and others 2000, as for the solution), so that memory grows with the number of
 * groups; what two groups have in common is worked out when asked for. Undefined when the observations do not determine
 * all parameters.
 */
export function jointCovariance(
  blocks: readonly ResidualBlock[],
  values: Float64Array,
  sorting: Sorting = {},
): JointCovariance | undefined {
  const unknowns = sortUnknowns(blocks, values.length, sorting);
  const equations = normalEquations(blocks, values, unknowns);
  const lengths = scaleToUnitDiagonal(equations);
  const left = reduced(equations, 0);
  if (!left) return undefined;
  const shared = choleskyInverse(left.factor, unknowns.sharedCount);
  const groups = left.groups.map((group, g) =>
    groupPart(group, unknowns.groups[g]!.first, shared, unknowns.sharedCount),
  );
  const column = new Int32Array(values.length).fill(-1);
  for (const [i, p] of unknowns.free.entries()) column[p] = i;
  const groupAt = new Int32Array(unknowns.free.length).fill(-1);
  for (const [g, { first, size }] of groups.entries()) groupAt.fill(g, first, first + size);
  const { free, sharedCount } = unknowns;
  return { free, sharedCount, column, groupAt, lengths, shared, groups };
}

/** Of two parameters. */
export function covarianceAt(joint: JointCovariance, p: number, q: number): number {
  const { column, groupAt, lengths } = joint;
  const [i, j] = [column[p]!, column[q]!];
  if (i < 0 || j < 0) return 0;
  return entry(joint, i, groupAt[i]!, j, groupAt[j]!) / (lengths[i]! * lengths[j]!);
}

/** Of each of some parameters with a linear function of all parameters, given by its derivatives. */
export function covarianceWithEach(
  joint: JointCovariance,
  parameters: ArrayLike<number>,
  g: Float64Array,
): Float64Array {
  const { free, column, groupAt, lengths } = joint;
  const touched = new Int32Array(free.length);
  let count = 0;
  // in the order of the parameters, however they are sorted
  for (let q = 0; q < column.length; q++) if (column[q]! >= 0 && g[q] !== 0) touched[count++] = q;
  const each = new Float64Array(parameters.length);
  for (let p = 0; p < parameters.length; p++) {
    const i = column[parameters[p]!]!;
    if (i < 0) continue;
    let sum = 0;
    for (let k = 0; k < count; k++) {
      const j = column[touched[k]!]!;
      sum += (entry(joint, i, groupAt[i]!, j, groupAt[j]!) / (lengths[i]! * lengths[j]!)) * g[touched[k]!]!;
    }
    each[p] = sum;
  }
  return each;
}

/** A few parameters' covariance, of those that were not held and as their unknowns are scaled. */
export interface FewCovariance {
  count: number;
  /** which of the few each is, and what its unknown is divided by */
  place: Int32Array;
  lengths: Float64Array;
  /** lower half, row by row: element (a, b) stands at a (a + 1) / 2 + b */
  lower: Float64Array;
}

/** Room for the covariance of so many parameters. */
export const makeFewCovariance = (most: number): FewCovariance => ({
  count: 0,
  place: new Int32Array(most),
  lengths: new Float64Array(most),
  lower: new Float64Array((most * (most + 1)) / 2),
});

/** Fills `few` with the covariance of some parameters. */
export function readFewCovariance(joint: JointCovariance, parameters: ArrayLike<number>, few: FewCovariance): void {
  const { column, groupAt, lengths } = joint;
  const { place, lower } = few;
  let count = 0;
  let at = 0;
  for (let p = 0; p < parameters.length; p++) {
    const i = column[parameters[p]!]!;
    if (i < 0) continue;
    place[count] = p;
    few.lengths[count++] = lengths[i]!;
    for (let b = 0; b < count; b++) {
      const j = column[parameters[place[b]!]!]!;
      lower[at++] = entry(joint, i, groupAt[i]!, j, groupAt[j]!);
    }
  }
  few.count = count;
}

/** Of two linear functions of all parameters, each given by its derivatives. */
export function covarianceBetween(joint: JointCovariance, g: Float64Array, h: Float64Array): number {
  const a = carried(joint, g);
  return productOf(joint, a, g === h ? a : carried(joint, h));
}

function groupPart(
  { size, met, lower, half }: Reduced['groups'][number],
  first: number,
  shared: Float64Array,
  s: number,
): GroupPart {
  const tie = backward(lower, size, half, met.length);
  const withShared = new Float64Array(size * s);
  for (let i = 0; i < size; i++)
    for (const [m, row] of met.entries()) {
      const by = tie[i * met.length + m]!;
      if (by !== 0) for (let j = 0; j < s; j++) withShared[i * s + j]! -= by * shared[row * s + j]!;
    }
  const inverse = choleskyInverse(lower, size);
  const part = { first, size, met, inverse, tie, withShared };
  const among = inverse.map((value, k) => value + between(part, Math.floor(k / size), part, k % size, s));
  return { ...part, among };
}

/** What two groups' unknowns have in common by the shared ones. */
function between(
  { met, tie }: Pick<GroupPart, 'met' | 'tie'>,
  k: number,
  { withShared }: Pick<GroupPart, 'withShared'>,
  l: number,
  s: number,
): number {
  let sum = 0;
  for (let m = 0; m < met.length; m++) sum -= tie[k * met.length + m]! * withShared[l * s + met[m]!]!;
  return sum;
}

/** Of two scaled unknowns, each given by its place and its group (-1: shared); asked millions of times: no lists. */
function entry(joint: JointCovariance, i: number, groupOfI: number, j: number, groupOfJ: number): number {
  const { shared, groups, sharedCount: s } = joint;
  if (groupOfI < 0 && groupOfJ < 0) return shared[i * s + j]!;
  if (groupOfI < 0) return entry(joint, j, groupOfJ, i, groupOfI);
  const a = groups[groupOfI]!;
  const k = i - a.first;
  if (groupOfJ < 0) return a.withShared[k * s + j]!;
  const b = groups[groupOfJ]!;
  const l = j - b.first;
  return a === b ? a.among[k * a.size + l]! : between(a, k, b, l, s);
}

/** A function's derivatives by the scaled unknowns, and by the shared ones with what they carry of the groups'. */
interface Carried {
  own: Float64Array;
  common: Float64Array;
}

function carried({ free, sharedCount, lengths, groups }: JointCovariance, g: Float64Array): Carried {
  const own = Float64Array.from(free, (p, i) => g[p]! / lengths[i]!);
  const common = own.slice(0, sharedCount);
  for (const { first, size, met, tie } of groups)
    for (let k = 0; k < size; k++) {
      const by = own[first + k]!;
      if (by === 0) continue;
      for (let m = 0; m < met.length; m++) common[met[m]!]! -= by * tie[k * met.length + m]!;
    }
  return { own, common };
}

function productOf({ shared, groups }: JointCovariance, a: Carried, b: Carried): number {
  let sum = weighed(shared, a.common, b.common);
  for (const { first, size, inverse } of groups)
    sum += weighed(inverse, a.own.subarray(first, first + size), b.own.subarray(first, first + size));
  return sum;
}

/** a' M b over the elements of `a` that are not zero. */
function weighed(matrix: Float64Array, a: Float64Array, b: Float64Array): number {
  const n = b.length;
  let sum = 0;
  for (let i = 0; i < n; i++) {
    if (a[i] === 0) continue;
    let row = 0;
    for (let j = 0; j < n; j++) row += matrix[i * n + j]! * b[j]!;
    sum += a[i]! * row;
  }
  return sum;
}
