import type { Estimate } from '../numerics/estimate.ts';
import { median } from '../numerics/robust.ts';
import { studentFactor } from '../numerics/student_factor.ts';
import type { Measured } from './report.ts';

/** How one place lies against its plan: mm or degrees. */
export interface PlaceOffset extends Estimate {
  /** the piece it is on, 1 with the tip */
  piece: number;
}

/** How well places are set by hand, where the places themselves say little of it. */
export interface Setting {
  /** standard deviation of places set by eye, mm or degrees */
  usual: number;
  /**
   * a place further from the middle of its piece than this, its doubt aside, speaks for itself and not for the piece
   */
  ofItsOwn: number;
}

/** What the places of one piece have in common. */
interface PieceLine extends Estimate {
  /** standard uncertainty that comes from how evenly the places are set */
  setting: number;
  places: number;
}

/** The usual scatter is known no better than one place would tell it. */
const usualFreedom = 1;
/** Share of their readings' variance that places of one piece have in common: photos, axis, reference. */
const common = 0.5;

/**
 * What the places of each piece have in common, and how far two pieces lie apart. Each place is off by what its piece
 * is off, by how it was set and by how it was read. How unevenly places are set is told from their spread about their
 * own pieces, all pieces together, less what reading them adds, and from the usual scatter; where it rests on few
 * places Student's factor takes the place of 2 (JCGM 100:2008, annex G). A place that stands out among three or more of
 * its piece is left aside.
 */
export class PieceOffsets {
  readonly #lines: Map<number, PieceLine>;
  readonly #factor: number;

  constructor(offsets: readonly PlaceOffset[], setting: Setting) {
    const pieces = new Map<number, PlaceOffset[]>();
    for (const offset of offsets) pieces.set(offset.piece, [...(pieces.get(offset.piece) ?? []), offset]);
    const limit = Math.max(setting.ofItsOwn, 4 * robustScatter([...pieces.values()]));
    const kept = [...pieces].map(([piece, own]) => [piece, withoutStrays(own, limit)] as const);
    const { variance, freedom } = settingVariance(
      kept.map(([, own]) => own),
      setting.usual,
    );
    this.#factor = studentFactor(freedom);
    this.#lines = new Map(kept.map(([piece, own]) => [piece, lineOf(own, variance)]));
  }

  /** What a piece's places have in common; undefined where none was found. */
  lineOf(piece: number): PieceLine | undefined {
    return this.#lines.get(piece);
  }

  /** How far one piece lies from another, with about 95 % uncertainty. */
  difference(piece: number, from: number): Measured | undefined {
    const [a, b] = [this.#lines.get(piece), this.#lines.get(from)];
    if (!a || !b) return undefined;
    return {
      value: a.value - b.value,
      expanded: Math.hypot(2 * a.u, 2 * b.u, this.#factor * a.setting, this.#factor * b.setting),
    };
  }
}

/**
 * Standard deviation of places about the middle of their own piece, by their median, which strays do not pull along.
 */
function robustScatter(pieces: readonly (readonly PlaceOffset[])[]): number {
  const apart = pieces.flatMap((own) => {
    const middle = median(own.map(({ value }) => value));
    return own.length < 3 ? [] : own.map(({ value }) => Math.abs(value - middle));
  });
  return apart.length === 0 ? 0 : 1.4826 * median(apart);
}

function withoutStrays(own: readonly PlaceOffset[], ofItsOwn: number): readonly PlaceOffset[] {
  if (own.length < 3) return own;
  const middle = median(own.map(({ value }) => value));
  return own.filter(({ value, u }) => Math.abs(value - middle) - 2 * u <= ofItsOwn);
}

/** The variance of setting places, and on how many of them it rests. */
function settingVariance(pieces: readonly (readonly PlaceOffset[])[], usual: number) {
  let squares = 0;
  let freedom = 0;
  for (const all of pieces) {
    // a reading worse than the scatter looked for says nothing of it
    const own = all.filter(({ u }) => u <= 2 * usual);
    if (own.length === 0) continue;
    const mean = own.reduce((sum, { value }) => sum + value, 0) / own.length;
    const read = own.reduce((sum, { u }) => sum + u ** 2, 0);
    squares += own.reduce((sum, { value }) => sum + (value - mean) ** 2, 0);
    // what the readings have in common does not spread them
    squares -= (1 - common) * (1 - 1 / own.length) * read;
    freedom += own.length - 1;
  }
  const spread = Math.max(squares, 0);
  const withUsual = (spread + usualFreedom * usual ** 2) / (freedom + usualFreedom);
  // the usual scatter makes places that lie evenly by chance no surer, and unevenly set ones no evener
  return {
    variance: Math.max(withUsual, freedom > 0 ? spread / freedom : 0),
    freedom: Math.max(freedom, usualFreedom),
  };
}

function lineOf(own: readonly PlaceOffset[], variance: number): PieceLine {
  const weights = own.map(({ u }) => 1 / (u ** 2 + variance));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const shares = weights.map((weight) => weight / total);
  const value = own.reduce((sum, offset, i) => sum + shares[i]! * offset.value, 0);
  const shared = own.reduce((sum, { u }, i) => sum + shares[i]! * u, 0);
  const apart = Math.hypot(...own.map(({ u }, i) => shares[i]! * u));
  return {
    value,
    u: Math.hypot(Math.sqrt(common) * shared, Math.sqrt(1 - common) * apart),
    setting: Math.sqrt(variance) * Math.hypot(...shares),
    places: own.length,
  };
}
