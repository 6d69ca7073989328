import { type BagEntry, sizeOfGuide } from '../../plan/findings/bag_findings.ts';
import { ringWords } from '../../plan/findings/finding.ts';
import { NumberField, useKeptValues } from '../fields/plan_fields.tsx';
import { useBuild } from '../session/app_context.tsx';
import { benchWords } from '../words/bench_words.ts';

interface PlannedSize {
  kind: 'ring' | 'snake';
  size: number;
  planned: number;
}

/** Sizes of the plan's guides, each once, from small to large, with how many are planned. */
function useSizes(): PlannedSize[] {
  const { positions } = useBuild().history.present.plan;
  const sizes = new Map<string, PlannedSize>();
  for (const { guide } of positions) {
    if (!guide) continue;
    const one = { ...sizeOfGuide(guide), planned: 1 };
    const known = sizes.get(bagField(one));
    if (known) known.planned++;
    else sizes.set(bagField(one), one);
  }
  return [...sizes.values()].toSorted((a, b) => a.kind.localeCompare(b.kind) || a.size - b.size);
}

const bagField = ({ kind, size }: Pick<PlannedSize, 'kind' | 'size'>) =>
  `bag.${kind === 'ring' ? '' : 'snake.'}${size.toFixed(2)}`;

/** The guides as counted, once every size has its count. */
export function useBag(): BagEntry[] | undefined {
  const { bag, left } = useCounted();
  return bag.length > 0 && left === 0 ? bag : undefined;
}

/** What is counted so far, and how many sizes are left to count. */
function useCounted(): { bag: BagEntry[]; left: number; agrees: boolean } {
  const sizes = useSizes();
  const value = useKeptValues();
  const counts = sizes.map((one) => ({ ...one, count: value(bagField(one)) }));
  const bag = counts.flatMap(({ kind, size, count }): BagEntry[] => {
    if (count === undefined) return [];
    return [kind === 'ring' ? { ringOuter: size, count } : { snakeLength: size, count }];
  });
  return { bag, left: sizes.length - bag.length, agrees: counts.every(({ planned, count }) => planned === count) };
}

/** A field for each size of guide; what differs from the plan is told among the findings. */
export function PlanBag() {
  const sizes = useSizes();
  const { left, agrees } = useCounted();
  return (
    <>
      <p className="hint">{benchWords.guidesHelp}</p>
      {sizes.map((one) => (
        <NumberField
          key={bagField(one)}
          name={bagField(one)}
          label={benchWords[one.kind === 'ring' ? 'ringSize' : 'snakeSize'](ringWords(one.size), one.planned)}
          least={0}
          most={1000}
          optional
          whole
        />
      ))}
      <p role="status">
        {left > 0 ? benchWords.guidesOpen(left) : agrees ? benchWords.guidesAgree : benchWords.guidesDiffer}
      </p>
    </>
  );
}
