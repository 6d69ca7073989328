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
  const met = metByGroups(blocks, groupOfBlock, { groupOf, column }, { groups: asked.length, sharedCount });
  const groups = places.map((place, g) => ({ ...place, met: met.lists[g]! }));
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
      const own = { group, column: new Int32Array(parameters.length), met: new Int32Array(parameters.length).fill(-1) };
      for (let a = 0; a < parameters.length; a++) {
        const p = parameters[a]!;
        own.column[a] = column[p]!;
        if (groupOf[p]! < 0 && column[p]! >= 0)
          own.met[a] = group < 0 ? 0 : met.places[group * sharedCount + column[p]!]! - 1;
      }
      columns.set(parameters, own);
      return own;
    }),
  };
}

/** The shared unknowns that each group's blocks touch, ascending, and each one's place among them, counted from 1. */
function metByGroups(
  blocks: readonly ResidualBlock[],
  groupOfBlock: readonly number[],
  { groupOf, column }: { groupOf: Int32Array; column: Int32Array },
  { groups, sharedCount }: { groups: number; sharedCount: number },
): { lists: Int32Array[]; places: Int32Array } {
  const places = new Int32Array(groups * sharedCount);
  for (let b = 0; b < blocks.length; b++) {
    const { parameters } = blocks[b]!;
    if (groupOfBlock[b]! < 0) continue;
    const first = groupOfBlock[b]! * sharedCount;
    for (let a = 0; a < parameters.length; a++) {
      const p = parameters[a]!;
      if (groupOf[p]! < 0 && column[p]! >= 0) places[first + column[p]!] = 1;
    }
  }
  const lists = Array.from({ length: groups }, (_, g) => {
    const met: number[] = [];
    for (let i = 0; i < sharedCount; i++)
      if (places[g * sharedCount + i] === 1) places[g * sharedCount + i] = met.push(i);
    return Int32Array.from(met);
  });
  return { lists, places };
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
