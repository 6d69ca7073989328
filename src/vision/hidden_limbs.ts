import { quantile } from '../numerics/robust.ts';
import type { Photo } from '../photo/photo.ts';
import type { OutlinePoint } from './outline.ts';
import { sampleGrey } from './sampling.ts';

const limb = {
  /** pixels beyond the outline at which the ground is looked at: clear of its blur */
  beyond: 4,
  /** ground darker than this share of the photo's paper beside the blank is in its hard shadow */
  dark: 0.55,
  /** paper is as bright as this share of the outline's surroundings at least */
  paper: 0.8,
  /** stretch to both sides that answers for a place, mm, and the share of clear points a side needs */
  stretch: 40,
  clear: 0.35,
} as const;

/**
 * Whether one side of the blank lies in its own hard shadow at an arc length (mm from `tip`, the axis's coordinate of
 * the tip): there its limb cannot be told from the shadow. `points` = the outline as each photo shows it.
 */
export function hiddenLimbs(
  photos: readonly Photo[],
  points: readonly (readonly OutlinePoint[])[],
  tip: number,
): (along: number) => boolean {
  const seen = points.flatMap((own, i) => {
    const light = own.map(({ pixel, normal }) =>
      sampleGrey(photos[i]!, pixel[0] + limb.beyond * normal[0], pixel[1] + limb.beyond * normal[1]),
    );
    const lit = light.filter(Number.isFinite);
    if (lit.length === 0) return [];
    const paper = quantile(lit, limb.paper);
    return own.map(({ t, side }, k) => ({ along: t - tip, side, clear: light[k]! >= limb.dark * paper }));
  });
  return (along) =>
    ([1, -1] as const).some((side) => {
      const near = seen.filter((p) => p.side === side && Math.abs(p.along - along) < limb.stretch);
      return near.length > 0 && near.filter((p) => p.clear).length < limb.clear * near.length;
    });
}
