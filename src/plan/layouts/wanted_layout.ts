import type { Load } from '../bend/bent_rod.ts';
import type { HangTest } from '../bend/hung_weight.ts';
import type { GuideSide } from '../bend/line_run.ts';
import type { GapsAllowed } from '../bend/bend_layout_case.ts';
import type { BalanceSpec } from '../bench/balance.ts';
import type { GuideTrain } from './guide_trains.ts';
import type { UsualSpec } from './usual_layout.ts';
import type { BagEntry } from '../findings/bag_findings.ts';
import type { WrapPractice } from '../foot.ts';
import type { TapeDivision } from '../lengths/tape_reading.ts';
import type { Guide, Plan, Position } from '../plan.ts';
import type { DiameterStation } from '../taper.ts';
import type { EnteredLayout } from './entered_layout.ts';
import type { GrowthCase } from './growth_layout.ts';
import type { SpoolCase } from './line_cone.ts';
import type { MarkDatum } from './mark_list.ts';
import type { SpiralCase } from './spiral_layout.ts';

/**
 * What a builder wants laid out: the plan but for the guides' positions, and how these are found; mm, newtons, degrees.
 */
export interface LayoutSpec {
  plan: Omit<Plan, 'positions'>;
  /** from tip to butt; without ids they are G1, G2, and so on */
  guides: { id?: string; guide: Guide }[];
  /** tip wrap, ferrule wraps, hook keeper */
  others: Position[];
  layout: EnteredLayout | ({ kind: 'growth' } & Omit<GrowthCase, 'guides'>) | BendSpec | UsualSpec;
  /** the set the guides were taken from, as one choice */
  train?: GuideTrain;
  /** guides walk round the blank; their own `roll` otherwise */
  spiral?: SpiralCase;
  /** positions are rounded to it where given */
  division?: TapeDivision;
  datum?: MarkDatum;
  bag?: BagEntry[];
  wraps?: WrapPractice;
  /** the choke is one of the guides, by its id */
  spool?: Omit<SpoolCase, 'choke'> & { choke: string };
  /** where the rod hangs level, or where the seat must go for it */
  balance?: BalanceSpec;
  /** carbon is assumed where nothing is said */
  material?: 'carbon' | 'glass' | 'other';
}

export interface BendSpec {
  kind: 'bend';
  /** where stiffness comes from; diameters along the blank default to a straight taper from tip to butt */
  rod: { stations?: DiameterStation[] } & ({ modulus: number; wall?: number } | { hangTest: HangTest });
  /** the working pull, under which guides are placed */
  load: Load;
  /** the ends of the range the rod is looked at under; parts of the working pull when absent */
  light?: Load;
  heavy?: Load;
  side: GuideSide;
  clampAt: number;
  reel: { at: number; height: number };
  /** the tip-top's ring; on the blank's surface where not said */
  tipTop?: { height: number; ringInner: number };
  first?: number;
  last?: number;
  shares?: number[];
  gaps?: GapsAllowed;
  /** bends the rod with the guides at these places, tip to butt, instead of finding places */
  at?: number[];
}
