import type { Camera } from '../geometry/camera.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { median } from '../numerics/robust.ts';
import type { PerPhoto } from '../photo/photo.ts';
import { atHeight, type Expected } from '../vision/blank_search.ts';
import type { LaneEdges } from '../vision/lane_edges.ts';
import { splinePrior } from './blank_model.ts';
import type { BlankProblem } from './blank_problem.ts';

const sighted = {
  /** the lane is gone over in stretches of this length, mm; one with fewer sightings says nothing */
  stretch: 40,
  least: 4,
  /** the finder's blank this near to a way is the blank of that way, mm: its shadow lies no farther off */
  near: 9,
  /** what is so many mm and widths broad is not the blank alone */
  broadest: 3,
  widths: 2,
  /**
   * the middle of a stretch strays by 0.75 mm at most from a well-placed axis, and neighbours stray together (standard
   * deviation of one stretch's, mm)
   */
  sigma: 1.8,
} as const;

/**
 * What the finder's lane says of the axis's place across, by stretches: coarse, it counts where no outline does. A
 * photo from the side shows one outline only, and a soft shadow that touches the blank may hide that.
 */
export function sightedSides(
  { model, from, to }: BlankProblem,
  photos: PerPhoto<LaneEdges | undefined>,
  cameras: PerPhoto<Camera | undefined>,
  expected: Expected,
  side: (t: number) => number,
): ResidualBlock[] {
  const stretches = new Map<number, number[]>();
  for (const [photo, edges] of photos.entries()) {
    const camera = cameras[photo];
    if (!edges || !camera) continue;
    for (const { t, blank } of edges.stations) {
      if (!blank || t < from || t > to) continue;
      const at = atHeight(camera, model.lane, edges.height, expected.height(t));
      const places = blank.runs
        .filter(({ breadth }) => breadth < sighted.broadest + sighted.widths * expected.width(t))
        .map(({ middle }) => at.v(middle))
        .filter((v) => Math.abs(v - side(t)) < sighted.near)
        .sort((a, b) => Math.abs(a - side(t)) - Math.abs(b - side(t)));
      if (places[0] === undefined) continue;
      const stretch = Math.floor((t - from) / sighted.stretch);
      const own = stretches.get(stretch);
      if (own) own.push(places[0]);
      else stretches.set(stretch, [places[0]]);
    }
  }
  return [...stretches]
    .filter(([, places]) => places.length >= sighted.least)
    .map(([stretch, places]) =>
      splinePrior(model.spline, model.side, from + (stretch + 0.5) * sighted.stretch, median(places), sighted.sigma),
    );
}
