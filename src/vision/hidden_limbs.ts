import { quantile } from '../numerics/robust.ts';
import type { PerPhoto, Photo } from '../photo/photo.ts';
import type { OutlinePoint } from './outline.ts';
import { sampleGrey } from './sampling.ts';

const limb = {
  /** pixels beyond the outline at which the ground is looked at: clear of its blur */
  beyond: 4,
  /**
   * ground darker than this share of the photo's paper beside the blank is in hard sun's shadow, hardly lighter than a
   * dark blank; in softer light its limb still stands out
   */
  dark: 0.28,
  /** paper is as bright as the upper end of the outline's surroundings */
  paper: 0.8,
  /** so large a share of one side in such shadow speaks for all of it: one sun lights the whole blank */
  share: 0.3,
} as const;

/**
 * Whether one side of the blank lies against its own hard shadow, from which its limb cannot be told; `points` = the
 * outline as each photo shows it.
 */
export function isLimbHidden(photos: PerPhoto<Photo>, points: PerPhoto<readonly OutlinePoint[]>): boolean {
  const seen = points.flatMap((own, i) => {
    const light = own.map(({ pixel, normal }) =>
      sampleGrey(photos[i]!, pixel[0] + limb.beyond * normal[0], pixel[1] + limb.beyond * normal[1]),
    );
    const paper = quantile(light, limb.paper);
    return own.map(({ side }, k) => ({ side, dark: light[k]! < limb.dark * paper }));
  });
  return ([1, -1] as const).some((side) => {
    const own = seen.filter((point) => point.side === side);
    return own.filter(({ dark }) => dark).length > limb.share * own.length;
  });
}
