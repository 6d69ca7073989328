import type { Guide, Position } from '../plan.ts';
import { type Finding, ringWords } from './finding.ts';

/** Guides of one size in the bag; mm. */
export type BagEntry = { count: number } & ({ ringOuter: number } | { snakeLength: number });

/** What a guide's size goes by: a ring's outer diameter, a snake guide's length; mm. */
export const sizeOfGuide = (guide: Guide): { kind: 'ring' | 'snake'; size: number } =>
  guide.type === 'snake' ? { kind: 'snake', size: guide.length } : { kind: 'ring', size: guide.ringOuter };

/** Two of a kind whose sizes differ by less than this are of one size: what a calliper in a hurry reads, mm. */
const sameSize = 0.3;

const counted = (n: number, noun: string) => `${n} ${noun}${n === 1 ? '' : 's'}`;

/** What is too few or too many in the bag, in all and by size. */
export function bagFindings(guides: readonly Position[], bag: readonly BagEntry[]): Finding[] {
  const findings: Finding[] = [];
  const have = bag.reduce((sum, entry) => sum + entry.count, 0);
  if (have !== guides.length) {
    findings.push({
      rule: 'bag',
      weight: 'fault',
      items: [],
      by: Math.abs(have - guides.length),
      text: `The plan has ${counted(guides.length, 'guide')}, the bag ${have}.`,
      cure:
        have < guides.length ? 'Add the missing guides or take positions out.' : 'Add positions or leave guides over.',
    });
  }
  const sizes: { kind: 'ring' | 'snake'; size: number; planned: Position[]; have: number }[] = [];
  const sizeOf = ({ kind, size }: { kind: 'ring' | 'snake'; size: number }) => {
    const known = sizes.find((entry) => entry.kind === kind && Math.abs(entry.size - size) < sameSize);
    if (known) return known;
    const added = { kind, size, planned: [], have: 0 };
    sizes.push(added);
    return added;
  };
  for (const position of guides) if (position.guide) sizeOf(sizeOfGuide(position.guide)).planned.push(position);
  for (const entry of bag) {
    const size =
      'ringOuter' in entry
        ? ({ kind: 'ring', size: entry.ringOuter } as const)
        : ({ kind: 'snake', size: entry.snakeLength } as const);
    sizeOf(size).have += entry.count;
  }
  for (const { kind, size, planned, have: held } of sizes.toSorted((a, b) => a.size - b.size)) {
    if (planned.length === held) continue;
    findings.push({
      rule: 'bag',
      weight: 'fault',
      items: planned.map((position) => position.id),
      by: Math.abs(planned.length - held),
      text: `Of ${kind === 'ring' ? `rings ${ringWords(size)} across` : `snake guides ${ringWords(size)} long`} the plan has ${planned.length}, the bag ${held}.`,
      cure:
        planned.length > held
          ? 'Find the missing ones or change the plan to what is there.'
          : 'Leave them over or give them a place.',
    });
  }
  return findings;
}
