import type { Stretch } from '../plan/stretch.ts';
import type { BlankAxis } from '../geometry/blank_axis.ts';
import { median } from '../numerics/robust.ts';
import { turnOf } from '../numerics/turn.ts';
import { type BlockMap, mapBlank, mapBlock as BLOCK, mapNoise, valueAt, withoutRunning } from './blank_map.ts';
import type { PerView, View } from './strip.ts';

/** A lengthwise line that stands at one roll angle: arc lengths in mm, roll in degrees. */
export interface LineCandidate {
  from: number;
  to: number;
  roll: number;
  /** mean height over its flanks in units of the map's noise */
  strength: number;
}

/** What is worth a closer look as a line (common practice, no source; held to `spine_fit.test.ts`). */
const sought = {
  /** degrees of roll of a cell: finer costs time, coarser blurs a thin stroke away */
  cell: 2,
  /** mm a marker's stroke may be wide, and from its edge to where the blank is itself again */
  widths: [0.8, 1.4, 2.2, 3],
  flank: 0.5,
  /** an edge: mm to either side where its step is taken, and where the slope beside it, which counts so many times */
  edge: { near: 0.35, far: 1, slope: 1.5 },
  /** degrees from a photo's own side up to which its map tells anything */
  farthest: 65,
  /** degrees within which photos must agree on where it stands */
  tolerance: 4,
  /** standard deviations of the map's own change from block to block */
  prominent: 6,
  /** a line keeps to its strength: under this share of its strongest cell, or with so many blocks missed, it ends */
  fades: 0.3,
  gap: 2,
  /** and to its roll, which follows its cells by one part in so many */
  follows: 5,
  /** candidates that go on to be measured: each costs a look at every photo */
  most: 8,
  /** mm: a line of 30 mm less what its ends lose to the blocks */
  shortest: 28,
  /** two candidates are one within so many degrees and over this share of the shorter one */
  same: { roll: 9, share: 0.5 },
} as const;

const CELL = sought.cell;
const CELLS = 360 / CELL;

/**
 * What stands out at across-width place w (radius in mm): `value` = the profile there, turned so that bright counts.
 */
type Response = (value: (w: number) => number, w: number, radius: number) => number;

/** How much a stroke centred there stands above both its flanks. */
const strokeResponse: Response = (value, w, radius) => {
  const middle = value(w);
  let best = Number.NaN;
  for (const width of sought.widths) {
    const flank = (width / 2 + sought.flank) / radius;
    const core = width / 4 / radius;
    const inner = Math.min(value(w - core), middle, value(w + core));
    const height = inner - Math.max(value(w - flank), value(w + flank));
    if (!(height <= best)) best = Number.isNaN(height) ? best : height;
  }
  return best;
};

/** How much the profile steps up there, toward larger roll, beyond what it slopes on either side. */
const edgeResponse: Response = (value, w, radius) => {
  const near = sought.edge.near / radius;
  const far = sought.edge.far / radius;
  const step = value(w + near) - value(w - near);
  const slope = Math.max(Math.abs(value(w + far) - value(w + near)), Math.abs(value(w - near) - value(w - far)));
  return step - sought.edge.slope * slope;
};

/** The response at each place, standard deviations: cells of 4 mm by 2 degrees, NaN where this photo cannot tell. */
function respond(map: BlockMap, sign: 1 | -1, channel: number, noise: number, response: Response): Float32Array {
  const out = new Float32Array(map.blocks * CELLS).fill(Number.NaN);
  for (let b = 0; b < map.blocks; b++) {
    const value = (w: number): number => sign * valueAt(map, b, w, channel);
    for (let cell = 0; cell < CELLS; cell++) {
      const away = turnOf(cell * CELL - 180 - map.facing[b]!);
      if (Math.abs(away) > sought.farthest) continue;
      out[b * CELLS + cell] = response(value, Math.sin((away * Math.PI) / 180), map.radius[b]!) / noise;
    }
  }
  return out;
}

/** The least of the photos' responses at each place along and roll, where at least one photo can tell. */
function agree(
  maps: readonly BlockMap[],
  responses: readonly Float32Array[],
  from: number,
  blocks: number,
): Float32Array {
  const fused = new Float32Array(blocks * CELLS).fill(Number.NaN);
  const spread = Math.round(sought.tolerance / CELL);
  for (let b = 0; b < blocks; b++) {
    for (const [i, map] of maps.entries()) {
      const own = Math.round((from + b * BLOCK - map.from) / BLOCK);
      if (own < 0 || own >= map.blocks) continue;
      for (let cell = 0; cell < CELLS; cell++) {
        let best = responses[i]![own * CELLS + cell]!;
        if (Number.isNaN(best)) continue;
        for (let d = -spread; d <= spread; d++) {
          const other = responses[i]![own * CELLS + ((cell + d + CELLS) % CELLS)]!;
          if (other > best) best = other;
        }
        const at = b * CELLS + cell;
        if (!(fused[at]! <= best)) fused[at] = best;
      }
    }
  }
  return fused;
}

/**
 * Runs of prominent cells along the blank, strongest first: each follows the best cell within 4 degrees of the last.
 */
function runs(fused: Float32Array, from: number, blocks: number): LineCandidate[] {
  const used = new Uint8Array(fused.length);
  const found: LineCandidate[] = [];
  const order = Array.from(fused.keys())
    .filter((i) => fused[i]! > sought.prominent)
    .sort((a, b) => fused[b]! - fused[a]!);
  const spread = Math.round(sought.tolerance / CELL);
  for (const seed of order) {
    if (used[seed] === 1) continue;
    const cells: number[] = [seed];
    const least = Math.max(sought.prominent, sought.fades * fused[seed]!);
    for (const direction of [1, -1]) {
      let drift = 0;
      let missed = 0;
      for (let b = Math.floor(seed / CELLS) + direction; b >= 0 && b < blocks && missed < sought.gap; b += direction) {
        let best: { cell: number; drift: number } | undefined;
        for (let d = Math.round(drift) - spread; d <= Math.round(drift) + spread; d++) {
          if (Math.abs(d) > 2 * spread) continue;
          const cell = b * CELLS + (((((seed % CELLS) + d) % CELLS) + CELLS) % CELLS);
          if (fused[cell]! > least && (best === undefined || fused[cell]! > fused[best.cell]!))
            best = { cell, drift: d };
        }
        if (best === undefined) missed++;
        else {
          missed = 0;
          cells.push(best.cell);
          drift += (best.drift - drift) / sought.follows;
        }
      }
    }
    for (const i of cells) {
      const block = Math.floor(i / CELLS) * CELLS;
      for (let d = -2 * spread; d <= 2 * spread; d++) used[block + (((i % CELLS) + d + CELLS) % CELLS)] = 1;
    }
    const places = cells.map((i) => Math.floor(i / CELLS));
    const first = Math.min(...places);
    const last = Math.max(...places);
    if ((last - first + 1) * BLOCK < sought.shortest) continue;
    found.push({
      from: from + first * BLOCK,
      to: from + (last + 1) * BLOCK,
      roll: median(cells.map((i) => (i % CELLS) * CELL - 180)),
      strength: median(cells.map((i) => fused[i]!)),
    });
  }
  return found.sort((a, b) => b.strength * (b.to - b.from) - a.strength * (a.to - a.from));
}

/**
 * Lengthwise strokes, or single edges as of tape, that stand at one roll angle in every photo that sees them (photos
 * looking from different sides move a highlight, not a painted line), 30 mm or longer; the strongest first. Highlights
 * in photos taken from one side are still among them: see `fitSpineLine`.
 */
export function searchSpineLines(
  views: PerView<View>,
  axis: BlankAxis,
  range: Stretch,
  shape: 'stroke' | 'edge' = 'stroke',
): LineCandidate[] {
  const blocks = Math.floor((range.to - range.from) / BLOCK);
  const maps = views.flatMap((view) => mapBlank(view, axis, range, sought.shortest) ?? []);
  if (maps.length === 0) return [];
  const response = shape === 'stroke' ? strokeResponse : edgeResponse;
  // A highlight that runs the whole length hides a line on it: look without what runs on, then at everything.
  return [maps.map(withoutRunning), maps].flatMap((looks) => {
    const noise = looks.map(mapNoise);
    const all: LineCandidate[] = [];
    for (const channel of [0, 1, 2]) {
      for (const sign of [1, -1] as const) {
        const responses = looks.map((map, i) => respond(map, sign, channel, noise[i]![channel]!, response));
        all.push(...runs(agree(looks, responses, range.from, blocks), range.from, blocks));
      }
    }
    all.sort((a, b) => b.strength * (b.to - b.from) - a.strength * (a.to - a.from));
    // One line comes up in several channels and from several seeds: keep its strongest.
    return all.filter((line, i) => !all.slice(0, i).some((stronger) => overlap(line, stronger))).slice(0, sought.most);
  });
}

function overlap(a: LineCandidate, b: LineCandidate): boolean {
  const shared = Math.min(a.to, b.to) - Math.max(a.from, b.from);
  const turn = Math.abs(turnOf(a.roll - b.roll));
  return turn < sought.same.roll && shared > sought.same.share * Math.min(a.to - a.from, b.to - b.from);
}
