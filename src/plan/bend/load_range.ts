import { InputError } from '../input_error.ts';
import { sectionAt } from '../taper.ts';
import type { BendCase, Load } from './bent_rod.ts';
import { type Bend, solveBend } from './elastica.ts';
import { type LinePiece, linePieces } from './line_run.ts';

/** The pulls a rod is looked at under. Guides are placed under the working one. */
export type LoadName = 'light' | 'working' | 'heavy';
export type LoadRange = Readonly<Record<LoadName, Load>>;

/** Light and heavy as parts of the working pull where nothing is said; common practice, no source. */
export const usualRange = { light: 0.5, heavy: 1.5 } as const;

/** The range about a working load, with what the builder says of its ends. */
export function loadRange(working: Load, { light, heavy }: { light?: Load; heavy?: Load } = {}): LoadRange {
  const part = (share: number): Load => ({ ...working, tension: share * working.tension });
  return { light: light ?? part(usualRange.light), working, heavy: heavy ?? part(usualRange.heavy) };
}

/** The rod with its guides under one load of the range. */
export interface BendUnderLoad {
  name: LoadName;
  load: Load;
  /** absent where the bend could not be followed, with the reason */
  solved?: {
    bend: Bend;
    /** the line from the tip-top to each guide and the reel against the blank */
    pieces: LinePiece[];
    /** the guide, from 0, at which the line turns most, and by how many degrees; absent without guides */
    worst?: { guide: number; turn: number };
    strain: { most: number; at: number };
  };
  why?: string;
}

/** The same rod and line under each load of the range. */
export function bendUnderRange(bendCase: BendCase, range: LoadRange, working?: Bend): BendUnderLoad[] {
  return (['light', 'working', 'heavy'] as const).map((name): BendUnderLoad => {
    const load = range[name];
    const loaded = { ...bendCase, load };
    try {
      const bend = name === 'working' && working ? working : solveBend(loaded);
      const turns = bend.turns.slice(1);
      const guide = turns.indexOf(Math.max(...turns));
      return {
        name,
        load,
        solved: {
          bend,
          pieces: linePieces(loaded, bend),
          ...(guide >= 0 && { worst: { guide, turn: turns[guide]! } }),
          strain: surfaceStrain(loaded, bend),
        },
      };
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      return { name, load, why: error.message };
    }
  });
}

/**
 * How far the blank's surface is stretched where it is most, as a part of its length: curvature times half the diameter
 * (Euler-Bernoulli), and where, mm from the tip.
 */
export function surfaceStrain({ stiffness }: BendCase, bend: Bend): { most: number; at: number } {
  let [most, at] = [0, 0];
  for (const [k, point] of bend.points.entries()) {
    const before = bend.points[k - 1];
    if (!before || point.s === before.s) continue;
    const middle = (before.s + point.s) / 2;
    const curvature = Math.abs(point.theta - before.theta) / (point.s - before.s);
    const strain = (curvature * sectionAt(stiffness.stations, middle).diameter) / 2;
    if (strain > most) [most, at] = [strain, middle];
  }
  return { most, at };
}
