import { inverseOfPositive } from '../numerics/cholesky.ts';
import { besideItsScale, type MatPart, type MatProfile, partOfMat, perTile } from './mat_profile.ts';
import { matFound } from './mat_found.ts';
import type { TileShape } from './mat_start.ts';
import type { MatSolution } from './mat_summary.ts';

/**
 * A page moved where its place against the others differs from the kept one by `least` mm at one of its ends, and by so
 * much more than both doubts allow that chance exceeds `squares` (three degrees of freedom) once in sixty thousand.
 */
const moved = { least: 0.6, squares: 23 } as const;

/** From a page's middle to its ends, mm. */
const halfPage = 130;

/**
 * The pages of a kept mat that lie in the photos as they lay then, against each other: the largest number that agree
 * with one of them; and the others in view, with how far (mm) they lie from where the kept mat has them.
 */
export function pagesStanding(
  kept: MatProfile,
  found: MatSolution,
): { pages: number[]; moved: { tile: number; byMm: number }[] } {
  const now = matFound(found);
  const common = kept.tiles.map(({ tile }) => tile).filter((tile) => found.tiles.some((own) => own.tile === tile));
  if (!now || common.length === 0) return { pages: [], moved: [] };
  const byAnchor = common.map((anchor) => {
    const held = { tile: anchor, x: 0, y: 0, yaw: 0 };
    const [then, here] = [partOfMat(kept, common, held), partOfMat(now, common, held)];
    const covariance = besideItsScale(then);
    const shifts = then.tiles.map((_, k) => shiftOf({ ...then, covariance }, here, k));
    const pages = shifts.filter(({ moved: has }) => !has).map(({ tile }) => tile);
    return { pages, moved: shifts.filter(({ moved: has }) => has).map(({ tile, byMm }) => ({ tile, byMm })) };
  });
  const best = byAnchor.reduce((most, one) => (one.pages.length > most.pages.length ? one : most));
  // Two pages that disagree: nothing says which of them moved.
  return best.pages.length < 2 && common.length > 1 ? { pages: [], moved: [] } : best;
}

function shiftOf(then: MatPart, here: MatPart, k: number): { tile: number; byMm: number; moved: boolean } {
  const [a, b] = [then.tiles[k]!, here.tiles[k]!];
  const apart = [b.x - a.x, b.y - a.y, Math.atan2(Math.sin(b.yaw - a.yaw), Math.cos(b.yaw - a.yaw))] as const;
  const byMm = Math.max(...[-halfPage, halfPage].map((u) => endShift(a, apart, u)));
  const n = perTile * then.tiles.length + 2;
  const row = perTile * k;
  const doubt = new Float64Array(9);
  for (let i = 0; i < 3; i++)
    for (let j = 0; j < 3; j++) {
      const at = (row + i) * n + row + j;
      doubt[3 * i + j] = then.covariance[at]! + here.covariance[at]!;
    }
  const inverse = inverseOfPositive(doubt, 3);
  if (!inverse) return { tile: a.tile, byMm: 0, moved: false };
  const squares = apart.reduce(
    (sum, d, i) => sum + d * apart.reduce((own, e, j) => own + inverse[3 * i + j]! * e, 0),
    0,
  );
  return { tile: a.tile, byMm, moved: byMm > moved.least && squares > moved.squares };
}

/** How far a place u (mm) off the page's middle along its row lies from where it lay. */
const endShift = ({ yaw }: TileShape, [dx, dy, turn]: readonly [number, number, number], u: number): number =>
  Math.hypot(dx - turn * u * Math.sin(yaw), dy + turn * u * Math.cos(yaw));
