import { quantile } from '../numerics/robust.ts';
import type { PerPhoto, Photo } from '../photo/photo.ts';
import type { OutlinePoint } from './outline.ts';
import { sampleGrey } from './sampling.ts';

const limb = {
  /** pixels beyond the outline at which the ground is looked at, and inside it the limb: clear of its blur */
  beyond: 4,
  within: 3,
  /**
   * ground darker than this share of the photo's paper beside the blank is in hard sun's shadow, hardly lighter than a
   * dark blank; in softer light its limb still stands out
   */
  dark: 0.28,
  /**
   * ground darker than this share of the paper lies in some shadow; where the limb is as light as that shadow, to this
   * share of the paper, as a pale blank's may be, its edge is none to go by
   */
  shaded: 0.85,
  alike: 0.1,
  /** paper is as bright as the upper end of the outline's surroundings */
  paper: 0.8,
  /** so large a share of one side in such shadow speaks for all of it: one sun lights the whole blank */
  share: 0.3,
} as const;

/**
 * Whether one side of the blank lies against its own shadow and its limb cannot be told from that, a hard one or one as
 * light as it; `points` = the outline as each photo shows it.
 */
export function isLimbHidden(photos: PerPhoto<Photo>, points: PerPhoto<readonly OutlinePoint[]>): boolean {
  const seen = points.flatMap((own, i) => {
    const beside = ({ pixel, normal }: OutlinePoint, by: number) =>
      sampleGrey(photos[i]!, pixel[0] + by * normal[0], pixel[1] + by * normal[1]);
    const light = own.map((point) => beside(point, limb.beyond));
    const paper = quantile(light, limb.paper);
    return own.map((point, k) => {
      const ground = light[k]!;
      const alike = Math.abs(ground - beside(point, -limb.within)) < limb.alike * paper;
      return { side: point.side, hidden: ground < limb.dark * paper || (ground < limb.shaded * paper && alike) };
    });
  });
  return ([1, -1] as const).some((side) => {
    const own = seen.filter((point) => point.side === side);
    return own.filter(({ hidden }) => hidden).length > limb.share * own.length;
  });
}
