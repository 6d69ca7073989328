import type { BendCase, LineRun } from './bent_rod.ts';
import type { Bend } from './elastica.ts';
import type { RingGuide } from '../plan.ts';
import type { Stiffness } from './stiffness.ts';
import { sectionAt } from '../taper.ts';

/** Guides on top of the bent rod (its outside) or underneath (its inside). */
export type GuideSide = 'top' | 'underneath';

/**
 * From the blank's surface to the line in a ring, mm: under load the line lies in the bore's far side from where it is
 * pulled, toward the blank on top, away from it underneath.
 */
export function lineHeight({ height, ringInner }: Pick<RingGuide, 'height' | 'ringInner'>, side: GuideSide): number {
  return side === 'top' ? height - ringInner / 2 : height + ringInner / 2;
}

/** Heights from the blank's surface turned into signed distances from its axis for guides at given places. */
export function lineRun(
  layout: {
    stiffness: Stiffness;
    side: GuideSide;
    lineHeights: readonly number[];
    tipHeight: number;
    reel: { at: number; height: number };
  },
  at: readonly number[],
): LineRun {
  const sign = layout.side === 'top' ? 1 : -1;
  const radius = (s: number) => sectionAt(layout.stiffness.stations, s).diameter / 2;
  return {
    tipOffset: sign * (layout.tipHeight + radius(0)),
    guides: at.map((s, k) => ({ at: s, offset: sign * (layout.lineHeights[k]! + radius(s)) })),
    reel: { at: layout.reel.at, offset: sign * layout.reel.height },
  };
}

/** The line between two of its points, against the blank below it; guides from 1, the tip-top 0, the reel last. */
export interface LinePiece {
  from: number;
  to: number;
  /**
   * least distance from the line to the blank's surface on the guides' side, mm; negative where it runs into the blank
   */
  clearance: number;
  /** most distance beyond what the straight rod would have there, mm: how far the line strays from the blank */
  stray: number;
  /** where along the rod each is found, mm from the tip */
  clearanceAt: number;
  strayAt: number;
}

/**
 * Follows the line past the bent blank: at each node between two line points, the line's height over the blank along
 * the blank's normal.
 */
export function linePieces(bend: BendCase, bent: Bend): LinePiece[] {
  const { line, stiffness, clampAt } = bend;
  if (!line) return [];
  const sign = Math.sign(line.guides[0]?.offset ?? line.tipOffset) || 1;
  const places = [{ at: 0, offset: line.tipOffset }, ...line.guides, line.reel];
  const radius = (s: number) => sectionAt(stiffness.stations, s).diameter / 2;
  return places.slice(1).map((inner, k) => {
    const outer = places[k]!;
    const [p, q] = [bent.linePoints[k]!, bent.linePoints[k + 1]!];
    const piece: LinePiece = {
      from: k,
      to: k + 1,
      clearance: Number.POSITIVE_INFINITY,
      stray: 0,
      clearanceAt: outer.at,
      strayAt: outer.at,
    };
    for (const point of bent.points) {
      if (point.s < outer.at || point.s > Math.min(inner.at, clampAt)) continue;
      const [nx, ny] = [-Math.sin(point.theta), Math.cos(point.theta)];
      const [ux, uy] = [q.x - p.x, q.y - p.y];
      // the line p + t u met by the blank's normal: r + h n
      const across = nx * uy - ny * ux;
      if (Math.abs(across) < 1e-9) continue;
      const offset = ((p.x - point.x) * uy - (p.y - point.y) * ux) / across;
      const t = inner.at === outer.at ? 0 : (point.s - outer.at) / (inner.at - outer.at);
      const straight = outer.offset + t * (inner.offset - outer.offset);
      const clearance = sign * offset - radius(point.s);
      const stray = sign * (offset - straight);
      if (clearance < piece.clearance) Object.assign(piece, { clearance, clearanceAt: point.s });
      if (stray > piece.stray) Object.assign(piece, { stray, strayAt: point.s });
    }
    return piece;
  });
}
