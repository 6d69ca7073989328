import type { GuideSet, NamedGuide } from '../files/guide_set.ts';
import type { RingGuide, SnakeGuide, TipTop } from '../plan.ts';

const shape = (
  name: string,
  [ringOuter, ringInner, height, lean, footLength, reach]: readonly [number, number, number, number, number, number],
  foot: RingGuide['foot'],
): NamedGuide => ({ name, guide: { ringOuter, ringInner, height, lean, foot, footLength, reach } });

/** Shapes to start from before one's own are measured: made up, of middling proportions; common practice, no source. */
export const startingGuides: GuideSet = {
  title: 'Starting shapes',
  unit: 'mm',
  guides: [
    shape('6 single foot', [6, 4.3, 6.5, 0, 9, 2], 'single'),
    shape('8 single foot', [8, 5.8, 10, 3, 11, 3], 'single'),
    shape('10 single foot', [10, 7.2, 15, 6, 12, 4], 'single'),
    shape('16 single foot', [16, 11.4, 22, 9, 15, 6], 'single'),
    shape('8 double foot', [8, 5.8, 8.2, 4, 9, 4], 'double'),
    shape('12 double foot', [12, 8.7, 12.6, 5, 11, 6], 'double'),
    shape('20 double foot', [20, 14.7, 27, 10, 14, 10], 'double'),
    shape('25 double foot', [25, 18.2, 32, 11, 16, 12], 'double'),
  ],
};

/** A ring for a guide of which nothing is known yet. */
export const plainGuide = startingGuides.guides[0]!.guide as RingGuide;

/** A snake guide of middling size, and a tip-top, to change where they differ: made up; common practice, no source. */
export const plainSnake: SnakeGuide = { type: 'snake', length: 16, height: 5.2, wire: 0.9 };
export const plainTipTop: TipTop = { ringOuter: 5, ringInner: 3.6, tubeLength: 7, tubeInner: 1.8 };
