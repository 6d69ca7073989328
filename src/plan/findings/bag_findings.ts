import { type Position, ringOf } from '../plan.ts';
import { type Finding, ringWords } from './finding.ts';

/** Guides of one size in the bag; mm. */
export interface BagEntry {
  ringOuter: number;
  count: number;
}

/** Two rings whose outer diameters differ by less than this are of one size: what a calliper in a hurry reads, mm. */
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
  const sizes: { size: number; planned: Position[]; have: number }[] = [];
  const sizeOf = (size: number) => {
    const known = sizes.find((entry) => Math.abs(entry.size - size) < sameSize);
    if (known) return known;
    const added = { size, planned: [], have: 0 };
    sizes.push(added);
    return added;
  };
  for (const position of guides) {
    const ring = ringOf(position.guide);
    if (ring) sizeOf(ring.ringOuter).planned.push(position);
  }
  for (const entry of bag) sizeOf(entry.ringOuter).have += entry.count;
  for (const { size, planned, have: held } of sizes.toSorted((a, b) => a.size - b.size)) {
    if (planned.length === held) continue;
    findings.push({
      rule: 'bag',
      weight: 'fault',
      items: planned.map((position) => position.id),
      by: Math.abs(planned.length - held),
      text: `Of rings ${ringWords(size)} across the plan has ${planned.length}, the bag ${held}.`,
      cure:
        planned.length > held
          ? 'Find the missing ones or change the plan to what is there.'
          : 'Leave them over or give them a place.',
    });
  }
  return findings;
}
