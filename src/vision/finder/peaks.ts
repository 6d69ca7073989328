import type { RingSighting } from './sighting.ts';
import type { Planes } from './resample.ts';

/** Something with a centre on a network's picture; places and radius in the picture's samples. */
export interface Peak {
  kind: RingSighting['kind'];
  score: number;
  column: number;
  row: number;
  radius: number;
  footToward: { tip: number; butt: number };
}

export const stripStride = 4;
export const stripKinds = ['ring', 'tip-top', 'snake'] as const;
/** Places of the strip network's outputs: a heat map a kind, then these; the rest are the classes. */
const channel = { radius: 3, footTip: 4, footButt: 5, along: 6, across: 7 };
export const stripClassesAt = 8;
/** The network tells a radius as the logarithm (to base 2) of its ratio to this, samples: so it was trained. */
const radiusUnit = 10;

export const finding = {
  /** centres less sure than this are not told at all */
  leastScore: 0.15,
  /** cells around a centre in which it must be the highest */
  reach: 2,
  /** of one kind, no second centre within this share of the larger radius: one ring has one */
  apart: 0.5,
  /** nearer to a strip's end than this share of its radius, most of a thing may lie beyond: it is cut, and not told */
  whole: 0.5,
};

/** Is enough of what lies there within a picture of so many columns? */
export const isWhole = ({ column, radius }: { column: number; radius: number }, columns: number): boolean =>
  column >= finding.whole * radius && column <= columns - 1 - finding.whole * radius;

const sigmoid = (x: number): number => 1 / (1 + Math.exp(-x));

/** Is the value at (row, column) the highest within `finding.reach` cells? */
function isTop(heat: Float32Array, rows: number, columns: number, row: number, column: number): boolean {
  const value = heat[row * columns + column]!;
  for (let y = Math.max(row - finding.reach, 0); y <= Math.min(row + finding.reach, rows - 1); y++)
    for (let x = Math.max(column - finding.reach, 0); x <= Math.min(column + finding.reach, columns - 1); x++)
      if (heat[y * columns + x]! > value) return false;
  return true;
}

/** The tops of one heat map (logits, rows x columns) as cells with their scores. */
export function tops(
  heat: Float32Array,
  rows: number,
  columns: number,
): { row: number; column: number; score: number }[] {
  const least = Math.log(finding.leastScore / (1 - finding.leastScore));
  const found: { row: number; column: number; score: number }[] = [];
  for (let row = 0; row < rows; row++)
    for (let column = 0; column < columns; column++) {
      const value = heat[row * columns + column]!;
      if (value >= least && isTop(heat, rows, columns, row, column)) found.push({ row, column, score: sigmoid(value) });
    }
  return found;
}

/**
 * Centres on the strip by the network's output for these planes, the surest first (Zhou, Wang and Kraehenbuehl 2019),
 * but for those of things that the strip's ends cut.
 */
export function stripPeaks(output: Float32Array, planes: Planes): Peak[] {
  const rows = planes.rows / stripStride;
  const columns = planes.width / stripStride;
  const cells = rows * columns;
  const found: Peak[] = [];
  stripKinds.forEach((kind, k) => {
    for (const { row, column, score } of tops(output.subarray(k * cells, (k + 1) * cells), rows, columns)) {
      const at = (which: number) => output[which * cells + row * columns + column]!;
      found.push({
        kind,
        score,
        column: (column + at(channel.along) + 0.5) * stripStride - 0.5,
        row: (row + at(channel.across) + 0.5) * stripStride - 0.5,
        radius: radiusUnit * 2 ** at(channel.radius),
        footToward: { tip: sigmoid(at(channel.footTip)), butt: sigmoid(at(channel.footButt)) },
      });
    }
  });
  const kept: Peak[] = [];
  for (const peak of found.toSorted((a, b) => b.score - a.score)) {
    const again = kept.some(
      (other) =>
        other.kind === peak.kind &&
        Math.hypot(other.column - peak.column, other.row - peak.row) <
          finding.apart * Math.max(other.radius, peak.radius),
    );
    if (!again && isWhole(peak, planes.columns)) kept.push(peak);
  }
  return kept;
}
