import type { Guide, RingGuide, SnakeGuide, TipTop } from '../plan.ts';
import type { RodKind } from './rod_kind.ts';

/** The guides of a rod as one choice: those that lead the line down from the reel, the running guide, the tip-top. */
export interface GuideTrain {
  name: string;
  kind: RodKind;
  /** the guide that all others repeat */
  running: Guide;
  /** from the one next to the running guides to the one nearest the reel */
  leading: readonly Guide[];
  tipTop: TipTop;
}

const ring = (
  [ringOuter, ringInner, height, lean, footLength, reach]: readonly [number, number, number, number, number, number],
  foot: RingGuide['foot'],
): RingGuide => ({ ringOuter, ringInner, height, lean, foot, footLength, reach });
const snake = (length: number, height: number, wire: number): SnakeGuide => ({ type: 'snake', length, height, wire });
const tipTop = (ringOuter: number, ringInner: number, tubeLength: number, tubeInner: number): TipTop => ({
  ringOuter,
  ringInner,
  tubeLength,
  tubeInner,
});

/** Sets to start from before one's own are measured: made up, of middling proportions; common practice, no source. */
export const startingTrains: readonly GuideTrain[] = [
  {
    name: 'spinning, small running guides',
    kind: 'spinning',
    running: ring([6, 4.3, 6.5, 0, 9, 2], 'single'),
    leading: [
      ring([8, 5.8, 10, 3, 11, 3], 'single'),
      ring([10, 7.2, 15, 6, 12, 4], 'single'),
      ring([16, 11.4, 22, 9, 15, 6], 'single'),
      ring([25, 18.2, 32, 11, 16, 12], 'double'),
    ],
    tipTop: tipTop(6, 4.3, 8, 2),
  },
  {
    name: 'casting, low double feet',
    kind: 'casting',
    running: ring([6, 4.3, 6.5, 0, 9, 2], 'single'),
    leading: [
      ring([8, 5.8, 8.2, 4, 9, 4], 'double'),
      ring([10, 7.2, 10.4, 4, 10, 5], 'double'),
      ring([12, 8.7, 12.6, 5, 11, 6], 'double'),
    ],
    tipTop: tipTop(6, 4.3, 8, 2),
  },
  {
    name: 'fly, snake guides and two with rings',
    kind: 'fly',
    running: snake(13, 4.4, 0.8),
    leading: [
      snake(15, 4.9, 0.9),
      snake(17, 5.4, 0.9),
      snake(19, 5.9, 1),
      ring([10, 7.2, 10.4, 4, 10, 5], 'double'),
      ring([12, 8.7, 12.6, 5, 11, 6], 'double'),
    ],
    tipTop: tipTop(6, 4.6, 7, 1.8),
  },
];

/** The set by its name, or undefined. */
export const trainNamed = (name: string): GuideTrain | undefined => startingTrains.find((train) => train.name === name);

/** So many guides of a set, from tip to butt: the leading ones nearest the reel first, running ones for the rest. */
export function guidesOfTrain({ running, leading }: GuideTrain, count: number): Guide[] {
  const led = leading.slice(Math.max(0, leading.length - count));
  return [...Array.from({ length: count - led.length }, () => running), ...led];
}
