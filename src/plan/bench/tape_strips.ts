import { feetOf } from '../foot.ts';
import type { Plan } from '../plan.ts';
import { blankDiameter } from '../taper.ts';

/** Strips of tape that hold the feet before the thread: how many of one width, and for which guides; mm. */
export interface TapeStrips {
  width: number;
  length: number;
  count: number;
  ids: string[];
}

/** How strips are cut; each can be changed; common practice, no source. */
export interface TapePractice {
  /** share of the foot's length a strip covers, so that the ring's side of the foot stays free for the first turns */
  footShare: number;
  /** turns round blank and foot */
  turns: number;
  /** where the plan does not say how long a foot is, mm */
  unknownWidth: number;
}
export const usualTape: TapePractice = { footShare: 0.5, turns: 1.5, unknownWidth: 5 };

/** A strip narrower than this tears, a wider one is not cut for a foot, mm. */
const [narrowest, widest] = [3, 12];
/** What the foot and the hand that starts the strip take beside the turns, mm. */
const startOfStrip = 6;

/** One strip for each foot, gathered by width from narrow to wide; lengths to the next 5 mm of the thickest. */
export function tapeStrips(plan: Plan, practice: TapePractice = usualTape): TapeStrips[] {
  const start = plan.section?.startsAt ?? 0;
  const byWidth = new Map<number, TapeStrips>();
  for (const position of plan.positions) {
    if (!position.guide) continue;
    const feet = feetOf(position);
    const double = position.guide.type === 'snake' || position.guide.foot === 'double';
    const lengths =
      feet.length > 0 ? feet.map(({ from, to }) => to - from) : Array.from({ length: double ? 2 : 1 }, () => undefined);
    for (const foot of lengths) {
      const wanted = foot === undefined ? practice.unknownWidth : Math.round(practice.footShare * foot);
      const width = Math.min(Math.max(wanted, narrowest), widest);
      const round = practice.turns * Math.PI * blankDiameter(plan.blank, position.at, start);
      const length = Math.ceil((round + startOfStrip) / 5) * 5;
      const known = byWidth.get(width);
      byWidth.set(width, {
        width,
        length: Math.max(length, known?.length ?? 0),
        count: (known?.count ?? 0) + 1,
        ids: [...new Set([...(known?.ids ?? []), position.id])],
      });
    }
  }
  return [...byWidth.values()].toSorted((a, b) => a.width - b.width);
}
