import { type Finding, ringWords } from '../findings/finding.ts';
import { millimetresPerInch } from '../lengths/units.ts';
import type { Plan } from '../plan.ts';
import { blankDiameter } from '../taper.ts';

/** Room for glue round the blank in a tip-top's tube, mm over the diameter; common practice, no source. */
export const usualGlueRoom = 0.05;
/** A tube wider than the blank by more than this holds only on glue, mm; common practice, no source. */
const looseBy = 0.3;

/** The tube a tip-top should have for this blank. */
export interface TipTopTube {
  /** the least bore, mm: the blank where the tube ends, and room for glue */
  bore: number;
  /** the sizes such tubes are sold in: the next tenth of a millimetre, and half 64ths of an inch (4.5 is 4.5/64 in) */
  tenths: number;
  sixtyFourths: number;
}

/**
 * From the blank's taper: it is thickest inside a tube of `tubeLength` mm where the tube ends. A tip that was not
 * measured there, but is known at its end alone, is taken to grow straight to the butt.
 */
export function tipTopTube(plan: Pick<Plan, 'blank' | 'section'>, tubeLength: number): TipTopTube {
  const start = plan.section?.startsAt ?? 0;
  const bore = blankDiameter(plan.blank, start + tubeLength, start) + usualGlueRoom;
  return {
    bore,
    tenths: Math.ceil(bore * 10 - 1e-9) / 10,
    sixtyFourths: Math.ceil((bore / millimetresPerInch) * 128 - 1e-9) / 2,
  };
}

/** What speaks against the tube of the plan's own tip-top. */
export function tubeFindings(plan: Plan): Finding[] {
  const { tipTop } = plan;
  if (!tipTop || !(plan.blank.tipDiameter > 0) || !(plan.blank.buttDiameter > 0)) return [];
  const { bore, tenths, sixtyFourths } = tipTopTube(plan, tipTop.tubeLength);
  const blank = bore - usualGlueRoom;
  const wanted = `A tube of ${ringWords(tenths)}, sold in inches as ${sixtyFourths}/64, fits.`;
  const finding = (by: number, weight: Finding['weight'], text: string): Finding => ({
    rule: 'tip-top-tube',
    weight,
    items: [],
    by,
    text,
    cure: `${wanted} Measure the tip with a calliper first.`,
  });
  const tube = `The tip-top’s tube is ${ringWords(tipTop.tubeInner)} inside`;
  if (tipTop.tubeInner < plan.blank.tipDiameter)
    return [
      finding(
        plan.blank.tipDiameter - tipTop.tubeInner,
        'fault',
        `${tube} and the blank’s tip ${ringWords(plan.blank.tipDiameter)} across, so it does not go on.`,
      ),
    ];
  if (tipTop.tubeInner < blank)
    return [
      finding(
        blank - tipTop.tubeInner,
        'look',
        `${tube}, but the blank is ${ringWords(blank)} across where the tube would end, so it stops short.`,
      ),
    ];
  if (tipTop.tubeInner - blank > looseBy)
    return [
      finding(
        tipTop.tubeInner - blank,
        'look',
        `${tube}, ${ringWords(tipTop.tubeInner - blank)} wider than the blank in it, so it would sit askew.`,
      ),
    ];
  return [];
}
