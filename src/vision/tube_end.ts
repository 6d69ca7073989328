import type { Stretch } from '../plan/stretch.ts';
import { axisPoint, axisTangent, type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { cameraCentre, project } from '../geometry/camera.ts';
import { addScaled, cross, subtract, unit } from '../geometry/vector.ts';
import { orderStatistic } from '../numerics/robust.ts';
import { sampleGrey } from './sampling.ts';
import type { View } from './strip.ts';

/** Where a tip-top's tube gives way to the bare blank in one photo: arc length and standard deviation, mm. */
export interface TubeEnd {
  along: number;
  sigma: number;
}

/** How the end of a tip-top's tube is looked for. */
export const tubeLook = {
  /** mm between samples along and across */
  step: 0.2,
  /** stretch on either side of an end that shows whether it is one, mm, and how near the end the blur reaches */
  run: 2.2,
  blur: 0.4,
  /** this much of the blank beyond the range says what its bare outline looks like, mm */
  bare: 8,
  /** what stands out beyond the blank is looked for so far off its outline, the paper beside it farther out, mm */
  wall: { from: 0.05, to: 1.2 },
  paper: { from: 1.6, to: 2.4 },
  /**
   * a tube's wall is this thick at least, mm (common practice, no source); thread and tape stand off less or have
   * ragged ends
   */
  leastWall: 0.13,
  /** the range reaches so many standard deviations to either side of where the end is expected */
  sharpness: 3,
  /** the ring's legs end on the tube: beyond its end is nothing but the blank, and less than this share stands out */
  leftOver: 0.3,
  /** grey levels a tube must stand out from the paper by for its outline to be seen */
  leastContrast: 25,
  /** shares of the radius where the middle's luma is taken; it counts for this share of what is usual at least */
  middle: [-0.4, 0, 0.4],
  leastOfUsual: 0.6,
  /**
   * how well half a step is read: mm, and pixels that a mark or the photo's own sharpening beside it may draw it aside
   */
  reading: { mm: 0.12, pixels: 0.8 },
} as const;

/**
 * The butt-side end of a tip-top's tube: the place in `range` (arc lengths, mm; likeliest in its middle) where what
 * stands out beyond the blank's own outline, on both sides together, gives way to the bare outline most plainly. A mark
 * or a band of paint ends too, but stands out nowhere. Undefined where the photo does not reach or no end shows.
 */
export function findTubeEnd(view: View, axis: BlankAxis, range: Stretch): TubeEnd | undefined {
  const { step, run, blur } = tubeLook;
  const from = range.from - run - step;
  const count = Math.ceil((range.to + tubeLook.bare - from) / step) + 1;
  const rows = Array.from({ length: count }, (_, i) => rowAt(view, axis, from + i * step));
  const contrast = median(rows.map(({ ground, middle }) => ground - middle));
  if (contrast === undefined || contrast < tubeLook.leastContrast) return undefined;
  const seen = rows.map((row) => wallIn(row, contrast));
  const bare = median(seen.slice(Math.round((range.to + run - from) / step)));
  if (bare === undefined) return undefined;
  const walls = seen.map((wall) => wall && wall - bare);
  const last = Math.round((range.to - from) / step);
  const [near, far] = [Math.round(blur / step), Math.round(run / step)];
  let best: (Step & { along: number; merit: number }) | undefined;
  for (let i = far; i <= last; i++) {
    const before = median(walls.slice(i - far, i - near + 1));
    const after = median(walls.slice(i + near, i + far + 1));
    if (before === undefined || after === undefined) continue;
    const fall = before - after;
    if (fall <= tubeLook.leastWall || after >= tubeLook.leftOver * before) continue;
    const found = { i, fall, before, after };
    const along = from + endOf(walls, found, far) * step;
    // The ring's legs end on the tube, well before its end, and stand out farther than its wall does.
    const merit = fall * Math.exp(-0.5 * (offMiddle(along, range) * tubeLook.sharpness) ** 2);
    if (along >= range.from && along <= range.to && (!best || merit > best.merit)) best = { ...found, along, merit };
  }
  if (!best) return undefined;
  const { along } = best;
  const spread = spreadOf(walls.slice(best.i - far, best.i - near + 1));
  const { mm, pixels } = tubeLook.reading;
  return { along, sigma: Math.hypot(mm, pixels / pixelsPerMm(view, axis, along), (step * spread) / best.fall) };
}

/** How far off a stretch's middle, as a share of half its length. */
const offMiddle = (along: number, { from, to }: Stretch): number => (2 * along - from - to) / (to - from);

/** A step in how far something stands out: near which sample, from what to what. */
interface Step {
  i: number;
  fall: number;
  before: number;
  after: number;
}

/** Where a step ends, in samples: as far on as what stands out over its stretch would reach at full height. */
function endOf(walls: readonly (number | undefined)[], { i, before, after }: Step, far: number): number {
  const shares = walls.slice(i - far, i + far + 1).map((wall) => {
    const share = wall === undefined ? undefined : (wall - after) / (before - after);
    return share === undefined ? undefined : Math.min(Math.max(share, 0), 1);
  });
  const known = shares.filter((share) => share !== undefined);
  return i - far - 0.5 + (known.reduce((sum, share) => sum + share, 0) * shares.length) / known.length;
}

/**
 * One row of samples across: grey levels of the paper beside, of the middle, and at places beyond the outline, both
 * sides.
 */
interface Row {
  ground: number;
  middle: number;
  beyond: number[];
}

function rowAt(view: View, axis: BlankAxis, s: number): Row {
  const { step, wall, paper } = tubeLook;
  const point = axisPoint(axis, s);
  const lateral = unit(cross(axisTangent(axis, s), subtract(point, cameraCentre(view.camera))));
  const grey = (w: number): number => {
    const pixel = project(view.camera, addScaled(point, lateral, w));
    return pixel ? sampleGrey(view.photo, pixel[0], pixel[1]) : Number.NaN;
  };
  const r = blankRadius(axis, s);
  const between = (stretch: Stretch, side: number) => placesFrom(stretch, step).map((w) => grey(side * (r + w)));
  return {
    ground: Math.max(mean(between(paper, 1)), mean(between(paper, -1))),
    middle: mean(tubeLook.middle.map((k) => grey(k * r))),
    beyond: [1, -1].flatMap((side) => between(wall, side)),
  };
}

/**
 * How far something dark reaches beyond the blank's outline, mean of both sides, mm, held against the contrast usual
 * here: a light mark has hardly any of its own.
 */
function wallIn({ ground, middle, beyond }: Row, usual: number): number | undefined {
  const contrast = Math.max(ground - middle, tubeLook.leastOfUsual * usual);
  const share = mean(beyond.map((grey) => Math.min(Math.max((ground - grey) / contrast, 0), 1)));
  return Number.isNaN(share) ? undefined : share * (tubeLook.wall.to - tubeLook.wall.from);
}

const placesFrom = ({ from, to }: Stretch, step: number): number[] => {
  const n = Math.round((to - from) / step);
  return Array.from({ length: n + 1 }, (_, k) => from + (k * (to - from)) / n);
};

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

function median(values: readonly (number | undefined)[]): number | undefined {
  const known = values.filter((v): v is number => v !== undefined && !Number.isNaN(v));
  return known.length * 2 >= values.length ? orderStatistic(known, 0.5) : undefined;
}

/** Half the distance that holds the middle half of the values. */
function spreadOf(values: readonly (number | undefined)[]): number {
  const known = values.filter((v) => v !== undefined).sort((a, b) => a! - b!);
  return known.length < 4 ? 1 : (known[(3 * known.length) >> 2]! - known[known.length >> 2]!) / 2;
}

function pixelsPerMm({ camera }: View, axis: BlankAxis, s: number): number {
  const [a, b] = [project(camera, axisPoint(axis, s - 1)), project(camera, axisPoint(axis, s + 1))];
  return a && b ? Math.hypot(b[0] - a[0], b[1] - a[1]) / 2 : 1;
}
