import type { BlankAxis } from '../geometry/blank_axis.ts';
import type { Ring } from '../geometry/ring.ts';
import { norm, pixelsApart } from '../geometry/vector.ts';
import { besideBlank, blankInView, ownEdges } from './blank_in_view.ts';
import type { ProfileEdge } from './edge_profile.ts';
import { type RimSample, sampleRims } from './rim_edges.ts';
import type { View } from './strip.ts';
import { bandEvidence, lineEvidence } from './line_evidence.ts';

/**
 * The chance that a ring's rim shows as an edge, by where it lies (measured on rendered rings, no source). On a dark or
 * coloured ring: before paper nearly always, before the blank it may be dark on dark. On a polished one the outside
 * mirrors the paper and nearly vanishes, the bore's wall lies in shade.
 */
const finishes = [
  { shows: { outside: 0.65, inside: 0.4, bore: 0.5, crease: 0.35 }, prior: 0 },
  { shows: { outside: 0.3, inside: 0.3, bore: 0.6, crease: 0.35 }, prior: Math.log(0.5) },
] as const;
type Finish = (typeof finishes)[number];

/** How edges speak for or against a ring. */
const speaking = {
  /** pixels to both sides of a rim that are looked at, about every so many along it: closer costs time in proportion */
  reach: 6,
  spacing: 1.5,
  /** how far an edge lies from where the model has it: reading it, pixels, and the model's simple shape, mm */
  edgeSpread: 0.4,
  shapeSpread: 0.08,
  /** neighbouring places share their noise and their cause: about this many of them say one thing */
  shared: 2,
  /**
   * only edges this many times as steep as noise gets count for or against: a search through noise finds whatever it
   * looks for
   */
  clear: 1.4,
  /** inner rims this near the outline, pixels, say nothing of their own */
  ownRim: 3,
  /** a place lies outside the blank from so many pixels beyond its outline on */
  outside: 1.5,
  /** pixels of rim without an edge that are added to what was walked: a few pixels tell no density of edges */
  walkedBefore: 10,
} as const;

/** A photo that shows a ring: its noise near it (grey levels), and by how much its camera shifts it there (pixels). */
export interface PhotoOfRing {
  view: View;
  noise: number;
  shift: readonly [number, number];
}

/**
 * How much better "a ring is here" explains one photo's edges than "edges lie here by chance", as a log likelihood
 * ratio: compares readings of one spot, where a small ring may be laid into a large one's image.
 */
export function ringEvidence({ view, noise, shift }: PhotoOfRing, axis: BlankAxis, ring: Ring, along: number): number {
  const { reach, spacing, clear } = speaking;
  const samples = sampleRims(view, ring, { reach, spacing, noise, clear });
  const blank = blankInView(view, axis, along);
  if (!blank || samples.length === 0) return 0;
  const outline = samples.filter((s) => s.rim.part === 'outline');
  const edges = samples.reduce((n, s) => n + s.edges.length, 0);
  const density = (edges + 1) / (2 * reach * samples.length + speaking.walkedBefore);
  const places: Place[] = [];
  for (const sample of samples) {
    const beside = besideBlank(blank, sample.pixel, sample.outward);
    if (beside.onOutline) continue;
    // Seen nearly edge-on, the inner rims run along the outline and say nothing of their own.
    if (sample.rim.part !== 'outline' && outline.some((o) => pixelsApart(o.pixel, sample.pixel) < speaking.ownRim))
      continue;
    places.push({ sample, outside: beside.distance > speaking.outside, edges: ownEdges(blank, sample) });
  }
  const seen = { outline, blank, density, noise };
  const line = lineEvidence(view, seen) + bandEvidence(view, axis, along, seen);
  return Math.max(...finishes.map((finish) => evidenceFor(finish, places, density, shift))) - line;
}

/** One place on a rim that counts. */
interface Place {
  sample: RimSample;
  outside: boolean;
  edges: readonly ProfileEdge[];
}

function evidenceFor(
  finish: Finish,
  places: readonly Place[],
  density: number,
  shift: readonly [number, number],
): number {
  const ratios = places.map((place) => Math.log(likelihoodRatio(finish, place, density, shift)));
  return ratios.reduce((a, b) => a + b, 0) / speaking.shared + finish.prior;
}

/**
 * Density of the nearest edge's place under a ring (shown with some probability, then normal) over that under chance
 * (even).
 */
function likelihoodRatio(
  finish: Finish,
  { sample, outside, edges }: Place,
  density: number,
  shift: readonly [number, number],
): number {
  const { part } = sample.rim;
  const crease = part === 'face-bore' || part === 'face-outer';
  const chance = finish.shows;
  const shows = crease ? chance.crease : part === 'bore' ? chance.bore : outside ? chance.outside : chance.inside;
  const sigma = Math.hypot(speaking.edgeSpread, (crease ? 2 : 1) * speaking.shapeSpread * norm(sample.gradient));
  const expected = shift[0] * sample.outward[0] + shift[1] * sample.outward[1];
  let nearest = Number.POSITIVE_INFINITY;
  for (const edge of edges) nearest = Math.min(nearest, Math.abs(edge.offset - expected));
  return (
    1 - shows + (shows * Math.exp((-0.5 * nearest * nearest) / sigma ** 2)) / (sigma * Math.sqrt(2 * Math.PI) * density)
  );
}
