import type { LengthDisplay } from '../lengths/length_text.ts';
import { type Guide, type Plan, type Position, ringOf } from '../plan.ts';
import { type Finding, lengthWords, ringWords } from './finding.ts';
import { ringsRunDown } from './plausibility.ts';

/** Two sizes or heights that differ by less are the same: what a calliper in a hurry reads, mm. */
const same = 0.3;

const highest = (guide: Guide): number => guide.height;

/**
 * Where the train of guides from the reel to the tip breaks: a guide that stands higher than its neighbour nearer the
 * reel, so that the line would climb again, and a tip-top with a smaller ring than the guide next to it. Sizes out of
 * order are told by `ring-sizes`; a pair that is told there is not told again. Common practice, no source.
 */
export function trainFindings(plan: Plan, display: LengthDisplay): Finding[] {
  const guides = plan.positions.filter(({ kind, guide }) => kind === 'guide' && guide);
  return [...climbs(guides, display), ...smallTipTop(plan, guides)];
}

function climbs(guides: readonly Position[], display: LengthDisplay): Finding[] {
  if (ringsRunDown(guides)) return [];
  const words = (mm: number) => lengthWords(mm, display);
  return guides.slice(1).flatMap((inner, k): Finding[] => {
    const outer = guides[k]!;
    const [ring, before] = [ringOf(inner.guide), ringOf(outer.guide)];
    // snake guides beside guides with rings are another kind of height
    if ((ring === undefined) !== (before === undefined)) return [];
    if (ring && before && before.ringOuter - ring.ringOuter >= same) return [];
    const by = highest(outer.guide!) - highest(inner.guide!);
    if (by < same) return [];
    return [
      {
        rule: 'ring-heights',
        weight: 'look',
        items: [outer.id, inner.id],
        by,
        text: `${outer.id} stands higher (${words(highest(outer.guide!))}) than ${inner.id} (${words(highest(inner.guide!))}), which is nearer the reel, so the line would climb again on its way to the tip.`,
        cure: 'Exchange the two, or measure their heights again.',
      },
    ];
  });
}

function smallTipTop({ tipTop }: Plan, guides: readonly Position[]): Finding[] {
  const ring = ringOf(guides[0]?.guide);
  if (!tipTop || !ring || ring.ringInner - tipTop.ringInner < same) return [];
  return [
    {
      rule: 'ring-sizes',
      weight: 'look',
      items: [guides[0]!.id],
      by: ring.ringInner - tipTop.ringInner,
      text: `The tip-top has a smaller bore (${ringWords(tipTop.ringInner)}) than ${guides[0]!.id} beside it (${ringWords(ring.ringInner)}), so a knot would catch at the tip.`,
      cure: 'Take a tip-top as wide as the first running guide, or correct its size.',
    },
  ];
}
