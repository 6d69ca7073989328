import type { ResidualBlock } from './residual_block.ts';

/**
 * How the free parameters of a least-squares problem are sorted: those that many blocks share, then groups of which no
 * block touches two, such as what belongs to one photo alone.
 */
export interface Unknowns {
  /** parameter index of each unknown: the shared ones first, then group by group */
  free: readonly number[];
  sharedCount: number;
  groups: readonly Group[];
  /** for each block: its group (-1: none) and where its parameters stand */
  blocks: readonly BlockColumns[];
}

interface Group {
  /** place of its first unknown among all */
  first: number;
  size: number;
  /** the shared unknowns that its blocks touch, ascending */
  met: Int32Array;
}

/** Where one block's parameters stand. */
export interface BlockColumns {
  group: number;
  /** each parameter's column: among the shared unknowns or in its group; -1 where it is held */
  column: Int32Array;
  /** a shared unknown's place in the group's `met` (0 without a group); -1 for the group's own and what is held */
  met: Int32Array;
}

/** What is held, and which parameters are eliminated together. */
export interface Sorting {
  /** parameters held at their start values */
  constant?: ReadonlySet<number> | undefined;
  /** groups of parameters of which no block touches two: each is eliminated by itself; absent: none */
  groups?: readonly (readonly number[])[] | undefined;
}

/** Sorts the parameters. Throws RangeError where a block touches two groups. */
export function sortUnknowns(
  blocks: readonly ResidualBlock[],
  count: number,
  { constant, groups: asked = [] }: Sorting,
): Unknowns {
  const groupOf = new Int32Array(count).fill(-1);
  const column = new Int32Array(count).fill(-1);
  for (const [g, group] of asked.entries()) for (const p of group) groupOf[p] = g;
  const isFree = (p: number) => !constant?.has(p);
  const free: number[] = [];
  for (let p = 0; p < count; p++) if (isFree(p) && groupOf[p]! < 0) column[p] = free.push(p) - 1;
  const sharedCount = free.length;
  const places = asked.map((group) => {
    const first = free.length;
    for (const p of group) if (isFree(p)) column[p] = free.push(p) - 1 - first;
    return { first, size: free.length - first };
  });
  const groupOfBlock = blocks.map(({ parameters }) => onlyGroup(parameters, groupOf));
  const touched = places.map(() => new Set<number>());
  for (const [b, { parameters }] of blocks.entries()) {
    const own = touched[groupOfBlock[b]!];
    for (let a = 0; own && a < parameters.length; a++) {
      const p = parameters[a]!;
      if (groupOf[p]! < 0 && column[p]! >= 0) own.add(column[p]!);
    }
  }
  const groups = places.map((place, g) => ({ ...place, met: Int32Array.from(touched[g]!).sort() }));
  const placeIn = groups.map(({ met }) => new Map(Array.from(met, (at, m) => [at, m])));
  // blocks that share their list of parameters share where these stand
  const columns = new Map<ArrayLike<number>, BlockColumns>();
  return {
    free,
    sharedCount,
    groups,
    blocks: blocks.map(({ parameters }, b) => {
      const known = columns.get(parameters);
      if (known) return known;
      const group = groupOfBlock[b]!;
      const isShared = (p: number) => groupOf[p]! < 0 && column[p]! >= 0;
      const own = {
        group,
        column: Int32Array.from(parameters, (p) => column[p]!),
        met: Int32Array.from(parameters, (p) => (isShared(p) ? (placeIn[group]?.get(column[p]!) ?? 0) : -1)),
      };
      columns.set(parameters, own);
      return own;
    }),
  };
}

function onlyGroup(parameters: ArrayLike<number>, groupOf: Int32Array): number {
  let group = -1;
  for (let a = 0; a < parameters.length; a++) {
    const own = groupOf[parameters[a]!]!;
    if (own >= 0 && group >= 0 && own !== group) throw new RangeError('a block touches two groups of unknowns');
    group = Math.max(group, own);
  }
  return group;
}
