import { InputError } from '../plan/input_error.ts';
import type { Measured, ReportBlank } from './report.ts';

/** What shoots of one blank, turned about its axis between them, say of its own bow. */
export interface StraightestAxis {
  /**
   * the side toward which the middle bows, degrees clockwise (seen from the butt) from what was on top in the shoot of
   * turn 0
   */
  roll: Measured;
  /** how far the blank stands from the chord between its ends in the plane of that bow, at most, and where; mm */
  bow: Measured & { along: number };
  /** how far it still stands to the side, at most, with the bow straight up or down, mm */
  sweep: Measured & { along: number };
  /** for lines every 15 degrees round, as `roll`: the largest bow to the side once that line is on top, mm */
  against: { roll: number; side: number }[];
  /** the line drawn along the blank, where a shoot shows it */
  line?: LineOnAxis;
}

/** A drawn line against the blank's own bow. */
export interface LineOnAxis {
  /** as the axis's own roll, degrees */
  roll: Measured;
  /** how far clockwise it lies of the side toward which the middle bows, degrees */
  fromBow: Measured;
  /** how far the blank bows with the line on top, at most: up (negative: down) and to either side, mm */
  up: number;
  side: number;
}

/** One shoot's share: how far the blank was turned, and how far it lay aside of its chord. */
interface Turned {
  /** degrees */
  turn: number;
  side: (along: number) => { value: number; u: number };
}

const known = {
  /** turns are set by eye: standard uncertainty, degrees */
  turn: 2.5,
  /** two shoots tell both ways only where they are turned against each other by so much, degrees */
  apart: 40,
  every: 25,
  rounds: 12,
} as const;

const radians = (degrees: number): number => (degrees * Math.PI) / 180;
const degrees = (angle: number): number => (angle * 180) / Math.PI;

/**
 * The blank's own bow from what shoots show of it sideways, where neither its weight nor the paper bends it: at a turn
 * t a bow of size b toward roll r lies b sin(r + t) to the right. Least squares over all shoots for the bow's two parts
 * at every place and for each turn but the first, which were set by eye. Throws InputError where the shoots cannot
 * tell.
 */
export function straightestAxis(blanks: readonly ReportBlank[]): StraightestAxis {
  const shoots = blanks.map(turnedOf);
  const last = Math.min(...blanks.map(({ bow }) => bow.at(-1)?.[0] ?? 0));
  const places = Array.from({ length: Math.floor(last / known.every) }, (_, i) => (i + 1) * known.every);
  const spread = shoots.some(({ turn }) => {
    const off = Math.abs(Math.sin(radians(turn - shoots[0]!.turn)));
    return off > Math.sin(radians(known.apart));
  });
  if (!spread || places.length < 4)
    throw new InputError(
      'The shoots of the blank do not show it from two sides: turn it a quarter and shoot it again, four times in all.',
    );
  const fit = fitTurns(shoots, places);
  return summary(fit, places, lineRoll(blanks, fit.turns));
}

/** Where a drawn line lies round the blank, from every shoot that shows it and how far that one was turned. */
function lineRoll(blanks: readonly ReportBlank[], turns: readonly number[]): { value: number; u: number } | undefined {
  const seen = blanks.flatMap(({ line }, i) => {
    if (!line) return [];
    const u = Math.hypot(line.roll.expanded / 2, i === 0 ? 0 : known.turn);
    return [{ angle: radians(line.roll.value) - turns[i]!, u, weight: 1 / u ** 2 }];
  });
  const [first] = seen;
  if (!first) return undefined;
  const total = seen.reduce((sum, { weight }) => sum + weight, 0);
  // off the first by less than half a turn: the mean of angles
  const off = (angle: number) => wrapped(degrees(angle - first.angle));
  const mean = seen.reduce((sum, { angle, weight }) => sum + weight * off(angle), 0) / total;
  const apart = Math.max(...seen.map(({ angle }) => Math.abs(off(angle) - mean)));
  return { value: wrapped(degrees(first.angle) + mean), u: Math.max(1 / Math.sqrt(total), apart / 2) };
}

function turnedOf({ turn, bow, bowExpanded }: ReportBlank): Turned {
  if (turn === undefined || !bowExpanded)
    throw new InputError(
      'A report of the blank does not say how far it was turned: write "turn" into its shoot.json and measure it again.',
    );
  const side = (along: number) => {
    const i = Math.max(
      1,
      bow.findIndex(([s]) => s >= along),
    );
    const [a, b] = [bow[i - 1]!, bow[i]!];
    const k = Math.min(Math.max((along - a[0]) / (b[0] - a[0]), 0), 1);
    return { value: a[1] + k * (b[1] - a[1]), u: Math.max(bowExpanded[i - 1]![0], bowExpanded[i]![0]) / 2 };
  };
  return { turn, side };
}

/** The bow at each place toward roll 0 (`up`) and toward 90 degrees (`right`), mm, with one relative weight for all. */
interface TurnFit {
  up: number[];
  right: number[];
  /** standard uncertainty of either, mm, and of the common direction by the turns, radians */
  u: number[];
  turnU: number;
  /** how far the blank was turned in each shoot, as fitted, radians */
  turns: number[];
}

function fitTurns(shoots: readonly Turned[], places: readonly number[]): TurnFit {
  const sides = shoots.map(({ side }) => places.map(side));
  let turns = shoots.map(({ turn }) => radians(turn));
  let parts = partsAt(turns, sides);
  for (let round = 0; round < known.rounds; round++) {
    turns = turns.map((turn, i) => (i === 0 ? turn : turn + turnOff(turn, radians(shoots[i]!.turn), sides[i]!, parts)));
    parts = partsAt(turns, sides);
  }
  // What the shoots disagree by beyond their stated doubt widens it.
  const misses = sides.flatMap((own, i) => own.map(({ value, u }, k) => (value - lying(parts, k, turns[i]!)) / u));
  const free = Math.max(misses.length - 2 * places.length, 1);
  const widen = Math.max(1, Math.sqrt(misses.reduce((sum, miss) => sum + miss * miss, 0) / free));
  return { ...parts, u: parts.u.map((u) => u * widen), turnU: radians(known.turn) / Math.sqrt(shoots.length), turns };
}

const lying = ({ up, right }: Pick<TurnFit, 'up' | 'right'>, k: number, turn: number): number =>
  up[k]! * Math.sin(turn) + right[k]! * Math.cos(turn);

type Sides = readonly (readonly { value: number; u: number }[])[];

/** Both parts of the bow at every place, the turns held; their doubt is the larger way's, as one photo's errors go. */
function partsAt(turns: readonly number[], sides: Sides): Pick<TurnFit, 'up' | 'right' | 'u'> {
  const fits = (sides[0] ?? []).map((_, k) => {
    let [ss, sc, cc, sv, cv] = [0, 0, 0, 0, 0];
    for (const [i, own] of sides.entries()) {
      const { value, u } = own[k]!;
      const [s, c, w] = [Math.sin(turns[i]!), Math.cos(turns[i]!), 1 / u ** 2];
      ss += w * s * s;
      sc += w * s * c;
      cc += w * c * c;
      sv += w * s * value;
      cv += w * c * value;
    }
    const determinant = ss * cc - sc * sc;
    return {
      up: (cc * sv - sc * cv) / determinant,
      right: (ss * cv - sc * sv) / determinant,
      u: Math.sqrt(Math.max(ss, cc) / determinant),
    };
  });
  return { up: fits.map((f) => f.up), right: fits.map((f) => f.right), u: fits.map((f) => f.u) };
}

/** One step of a turn toward what its shoot shows, held to what was set by eye; radians. */
function turnOff(turn: number, set: number, side: Sides[number], parts: Pick<TurnFit, 'up' | 'right'>): number {
  const prior = 1 / radians(known.turn) ** 2;
  let [slope, pull] = [prior, prior * (set - turn)];
  // Places beside each other share their errors: all of them count as four.
  const share = Math.min(1, 4 / side.length);
  for (const [k, { value, u }] of side.entries()) {
    const by = parts.up[k]! * Math.cos(turn) - parts.right[k]! * Math.sin(turn);
    const w = share / u ** 2;
    slope += w * by * by;
    pull += w * by * (value - lying(parts, k, turn));
  }
  return pull / slope;
}

function summary(
  { up, right, u, turnU }: TurnFit,
  places: readonly number[],
  drawn: { value: number; u: number } | undefined,
): StraightestAxis {
  const sum = (value: (k: number) => number) => places.reduce((total, _, k) => total + value(k), 0);
  const [uu, ur, rr] = [sum((k) => up[k]! ** 2), sum((k) => up[k]! * right[k]!), sum((k) => right[k]! ** 2)];
  // The plane that holds most of the bow; the side of it where the middle stands.
  let angle = 0.5 * Math.atan2(2 * ur, uu - rr);
  if (sum((k) => up[k]! * Math.cos(angle) + right[k]! * Math.sin(angle)) < 0) angle += Math.PI;
  const toward = (k: number, at: number) => up[k]! * Math.cos(at) + right[k]! * Math.sin(at);
  const most = (at: number) =>
    places.reduce((best, _, k) => (Math.abs(toward(k, at)) > Math.abs(toward(best, at)) ? k : best), 0);
  const [b, s] = [most(angle), most(angle + Math.PI / 2)];
  const size = uu + rr;
  // Each place turns the plane by its share; errors run along the blank together, so they are not averaged away.
  const typical = Math.sqrt(sum((k) => u[k]! ** 2) / places.length);
  const rollU = Math.hypot(typical / Math.sqrt(Math.max(size / places.length, 1e-12)), turnU);
  const sideOf = (roll: number) => {
    const across = radians(roll) + Math.PI / 2;
    return Math.abs(toward(most(across), across));
  };
  // A turn set amiss mixes the two ways: by half of its angle at worst, where the bow lies between them.
  const bow = Math.abs(toward(b, angle));
  return {
    roll: { value: wrapped(degrees(angle)), expanded: Math.min(2 * degrees(rollU), 180) },
    bow: { value: bow, expanded: 2 * Math.hypot(u[b]!, 0.5 * turnU * bow), along: places[b]! },
    sweep: { value: Math.abs(toward(s, angle + Math.PI / 2)), expanded: 2 * u[s]!, along: places[s]! },
    against: Array.from({ length: 12 }, (_, i) => ({ roll: 15 * i, side: sideOf(15 * i) })),
    ...(drawn && {
      line: {
        roll: { value: drawn.value, expanded: Math.min(2 * drawn.u, 180) },
        fromBow: {
          value: wrapped(drawn.value - degrees(angle)),
          expanded: Math.min(2 * Math.hypot(drawn.u, degrees(rollU)), 180),
        },
        up: toward(most(radians(drawn.value)), radians(drawn.value)),
        side: sideOf(drawn.value),
      },
    }),
  };
}

const wrapped = (roll: number): number => roll - 360 * Math.round(roll / 360);
