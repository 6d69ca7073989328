import type { Pixel } from '../geometry/vector.ts';
import { type PrintedField, printedLengths, spanLength, spanUncertainty } from '../mat/readings.ts';
import { tagPlace, tagSide } from '../mat/tile.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import type { MatReadings, Span } from '../plan/shoot.ts';
import { indices } from './parameters.ts';
import { prior } from './prior.ts';
import type { TileIndex } from './tag_block.ts';

/** One of the builder's readings as an observation; lengths in mm. */
export interface ReadingBlock {
  field: PrintedField | 'span';
  length: number;
  sigma: number;
  block: ResidualBlock;
}

/**
 * The readings whose tags are on pages in view. `printScale`: where the print's scale along and across stand; `tiles`:
 * where each tile's unknowns stand.
 */
export function readingBlocks(
  { span, ...printed }: MatReadings,
  printScale: number,
  tiles: ReadonlyMap<number, TileIndex>,
): ReadingBlock[] {
  const onPage = (Object.keys(printedLengths) as PrintedField[]).flatMap((field): ReadingBlock[] => {
    const length = printed[field];
    if (length === undefined) return [];
    const { along, nominal, sigma } = printedLengths[field];
    return [
      { field, length, sigma, block: prior(along ? printScale : printScale + 1, length / nominal, sigma / nominal) },
    ];
  });
  return [...onPage, ...(span ? spanReading(span, printScale, tiles) : [])];
}

function spanReading(span: Span, printScale: number, tiles: ReadonlyMap<number, TileIndex>): ReadingBlock[] {
  const [from, to] = [tagPlace(span.fromTag), tagPlace(span.toTag)];
  const a = from && tiles.get(from.tile);
  const b = to && tiles.get(to.tile);
  if (!from || !to || !a || !b) return [];
  const [length, sigma] = [spanLength(span), spanUncertainty(span)];
  const ends = [
    { at: a.place, tag: from.centre },
    { at: b.place, tag: to.centre },
  ] as const;
  return [{ field: 'span', length, sigma, block: spanBlock(...ends, printScale, length, sigma) }];
}

/** A tag at one end of the span: where its tile's x, y, yaw stand, and its centre on the tile, mm. */
interface SpanEnd {
  at: number;
  tag: Pixel;
}

/** The tape laid over the mat: distance between the far edges of two tags' squares. */
function spanBlock(from: SpanEnd, to: SpanEnd, printScale: number, length: number, sigma: number): ResidualBlock {
  const parameters = [...new Set([...indices(from.at, 3), ...indices(to.at, 3), printScale, printScale + 1])];
  const place = new Map(parameters.map((p, i) => [p, i]));
  return {
    parameters,
    size: 1,
    evaluate(values, residuals, jacobian) {
      const e = outerEdge(values, from, to, printScale);
      const f = outerEdge(values, to, from, printScale);
      const distance = Math.hypot(f.x - e.x, f.y - e.y);
      residuals[0] = (distance - length) / sigma;
      if (!jacobian) return;
      for (const [end, sign] of [
        [e, -1],
        [f, 1],
      ] as const) {
        const nx = (sign * (f.x - e.x)) / distance / sigma;
        const ny = (sign * (f.y - e.y)) / distance / sigma;
        jacobian[place.get(end.at)!]! += nx;
        jacobian[place.get(end.at + 1)!]! += ny;
        jacobian[place.get(end.at + 2)!]! +=
          nx * (-end.s * end.p - end.c * end.q) + ny * (end.c * end.p - end.s * end.q);
        jacobian[place.get(printScale)!]! += (nx * end.c + ny * end.s) * end.u;
        jacobian[place.get(printScale + 1)!]! += (-nx * end.s + ny * end.c) * end.v;
      }
    },
  };
}

/** The middle of a square's edge that looks away from the other tag, on the bench, with what its derivatives need. */
function outerEdge(values: ArrayLike<number>, { at, tag }: SpanEnd, other: SpanEnd, printScale: number) {
  const c = Math.cos(values[at + 2]!);
  const s = Math.sin(values[at + 2]!);
  const co = Math.cos(values[other.at + 2]!);
  const so = Math.sin(values[other.at + 2]!);
  const dx = values[other.at]! + co * other.tag[0] - so * other.tag[1] - values[at]! - c * tag[0] + s * tag[1];
  const dy = values[other.at + 1]! + so * other.tag[0] + co * other.tag[1] - values[at + 1]! - s * tag[0] - c * tag[1];
  const outward = c * dx + s * dy > 0 ? -1 : 1;
  const u = tag[0] + (outward * tagSide) / 2;
  const p = values[printScale]! * u;
  const q = values[printScale + 1]! * tag[1];
  return { at, u, v: tag[1], p, q, c, s, x: values[at]! + c * p - s * q, y: values[at + 1]! + s * p + c * q };
}
