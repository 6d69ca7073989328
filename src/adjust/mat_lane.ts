import { paperSizes } from '../mat/tile.ts';
import { beyondPages, type Lane } from '../vision/lane.ts';
import type { MatSolution } from './mat_summary.ts';

/** Half of the shorter page (Letter), and what lies beyond it, mm. */
const beyondCentres = paperSizes.Letter.width / 2 + beyondPages;

/** The line through the tiles' centres, long enough for half a page beyond the outer ones. */
export function laneOf({ tiles }: Pick<MatSolution, 'tiles'>): Lane {
  const mean = (pick: (tile: (typeof tiles)[0]) => number) => tiles.reduce((s, t) => s + pick(t), 0) / tiles.length;
  const [mx, my] = [mean((t) => t.x), mean((t) => t.y)];
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (const t of tiles) {
    xx += (t.x - mx) ** 2;
    xy += (t.x - mx) * (t.y - my);
    yy += (t.y - my) ** 2;
  }
  // A single tile has no line through its neighbours: its own u axis then.
  const angle = tiles.length > 1 ? 0.5 * Math.atan2(2 * xy, xx - yy) : tiles[0]!.yaw;
  const direction = [Math.cos(angle), Math.sin(angle)] as const;
  const along = tiles.map((t) => (t.x - mx) * direction[0] + (t.y - my) * direction[1]);
  return {
    origin: [mx, my],
    direction,
    from: Math.min(...along) - beyondCentres,
    to: Math.max(...along) + beyondCentres,
  };
}
