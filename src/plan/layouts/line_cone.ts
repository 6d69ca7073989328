import { InputError } from '../input_error.ts';
import { formatLength } from '../lengths/length_text.ts';
import type { RingGuide } from '../plan.ts';

/**
 * A fixed-spool reel throws line off its spool's lip in loops that narrow toward the first small guide. Both circles
 * are taken square to the blank; seen from the side the loops then fill a cone from the lip to that guide's bore.
 * Lengths in mm; heights from the blank's surface. The cone is common practice, no source; air and line stiffness make
 * real loops wider or narrower.
 */
export interface SpoolCase {
  /** the reel seat's place, mm from the rod's tip, and how far before it (toward the tip) the spool's lip stands */
  seatAt: number;
  lipForward: number;
  spoolDiameter: number;
  /** from the blank's surface to the near edge of the lip */
  lipToBlank: number;
  /** how far the spool's axis is tilted toward the blank, degrees, where the builder has measured it */
  axisTilt?: number;
  /** the guide the cone ends in */
  choke: { at: number; ringInner: number; height: number };
}

/** The cone at one place along the rod. */
export interface ConeSection {
  at: number;
  /** bore that would just take the loops */
  diameter: number;
  /** the loops' centre above the blank's surface */
  height: number;
}

/** Where one ring goes so that the cone just passes it. */
export interface ConeRing {
  /** by its bore alone: nearest the reel where the cone is no wider; undefined where it never is before the choke */
  bySize?: ConeSection;
  /** with its own height: nearest the reel where the whole cone passes; undefined where nowhere */
  byHeight?: ConeSection;
}

const lipAt = (spool: SpoolCase): number => spool.seatAt - spool.lipForward;

/** The cone at `at` mm from the tip, between choke and lip. */
export function coneAt(spool: SpoolCase, at: number): ConeSection {
  const lip = lipAt(spool);
  const t = (lip - at) / (lip - spool.choke.at);
  const centre = spool.lipToBlank + spool.spoolDiameter / 2;
  return {
    at,
    diameter: spool.spoolDiameter + t * (spool.choke.ringInner - spool.spoolDiameter),
    height: centre + t * (spool.choke.height - centre),
  };
}

/**
 * Where the spool's axis, carried on toward the tip, meets the blank's surface, mm from the tip; undefined without a
 * tilt, or where that is beyond the tip. Straight lines on the unbent rod.
 */
export function axisMeetsBlank(spool: Omit<SpoolCase, 'choke'>): number | undefined {
  const { axisTilt, lipToBlank, spoolDiameter, seatAt, lipForward } = spool;
  if (axisTilt === undefined || !(axisTilt > 0)) return undefined;
  const ahead = (lipToBlank + spoolDiameter / 2) / Math.tan((axisTilt * Math.PI) / 180);
  const at = seatAt - lipForward - ahead;
  return at > 0 ? at : undefined;
}

/**
 * The place nearest the reel where each ring just clears the cone. Both edges of the cone are straight, so each gives
 * one linear condition along the rod. Throws InputError where spool and choke make no cone.
 */
export function placeOnCone(spool: SpoolCase, rings: readonly Pick<RingGuide, 'ringInner' | 'height'>[]): ConeRing[] {
  const lip = lipAt(spool);
  const { choke, spoolDiameter } = spool;
  if (!(choke.at < lip)) {
    throw new InputError(
      `The guide the cone ends in stands at ${formatLength(choke.at, 'mm')}, behind the spool's lip at ${formatLength(lip, 'mm')}; correct one of them.`,
    );
  }
  if (!(choke.ringInner < spoolDiameter)) {
    throw new InputError('The guide the cone ends in is not smaller than the spool; give the first small guide.');
  }
  const start = coneAt(spool, lip);
  const end = coneAt(spool, choke.at);
  const place = (t: number) => coneAt(spool, lip + t * (choke.at - lip));
  return rings.map(({ ringInner, height }) => {
    /** first and last share of the way, lip to choke, where the cone's edge on one side passes the bore */
    const passes = (side: 1 | -1): [number, number] => {
      const over = (section: ConeSection) => side * (section.height - height) + (section.diameter - ringInner) / 2;
      const [a, b] = [over(start), over(end)];
      if (a <= 0 && b <= 0) return [0, 1];
      if (a > 0 && b > 0) return [1, 0];
      const crossing = a / (a - b);
      return a > 0 ? [crossing, 1] : [0, crossing];
    };
    const [upper, lower] = [passes(1), passes(-1)];
    const from = Math.max(upper[0], lower[0]);
    const ring: ConeRing = {};
    if (ringInner >= choke.ringInner) {
      ring.bySize = place(Math.max((spoolDiameter - ringInner) / (spoolDiameter - choke.ringInner), 0));
    }
    if (from <= Math.min(upper[1], lower[1])) ring.byHeight = place(from);
    return ring;
  });
}
