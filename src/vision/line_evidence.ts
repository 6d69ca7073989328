import { type BlankAxis, type CrossSection, crossSection } from '../geometry/blank_axis.ts';
import { project, towardCamera } from '../geometry/camera.ts';
import { add, addScaled, cross, dot, type Pixel, pixelsApart, scale, unit } from '../geometry/vector.ts';
import type { BlankInView } from './blank_in_view.ts';
import { edgesAcross, slopeOfNoise } from './edge_profile.ts';
import type { RimSample } from './rim_edges.ts';
import type { View } from './strip.ts';

/** A ring's supposed outline in one photo, and the blank there. */
export interface OutlineInView {
  outline: readonly RimSample[];
  blank: BlankInView;
  /** edges a pixel that lie there by chance, and the luma's noise (grey levels) */
  density: number;
  noise: number;
}

/**
 * When an edge beyond a supposed ring's outline counts against the ring (common practice, no source; held to the rings
 * of tests/world). Laxer, seams and tape pass for rings; stricter, rings beside a mark are lost.
 */
const prolonged = {
  /** the chance that a line or band, where it goes on, shows as an edge; how far the edge may lie off, pixels */
  shows: 0.8,
  spread: 1,
  /** one side may say this much against a ring, as a log likelihood ratio */
  most: 8,
  /**
   * edges are looked for this far to both sides, over this breadth, from this slope on (pixels, grey levels a pixel)
   */
  reach: 2.5,
  breadth: 3,
  leastSlope: 3,
  /** a side of the outline is what faces it within this cosine, in three samples and so many pixels at least */
  facing: 0.9,
  samples: 3,
  shortest: 4,
  /** within so many pixels of the blank's outline, edges are the blank's */
  beside: 2,
  /** no edge near: as if the nearest lay so many pixels off */
  none: 9,
  /** a line is followed from this to that many parts of the outline's length beyond its ends, of so many parts */
  parts: { from: 2, to: 8, of: 16 },
  /** a band is looked at to this angle (radians) to both sides of facing the camera, a place every so many */
  round: 1.2,
  everyAngle: 0.1,
  /** steps over which the band's and the blank's direction in the photo are taken: radians, mm */
  aheadAngle: 0.05,
  ahead: 5,
} as const;

/** Log likelihood ratio of an edge near a place on a line's prolongation, over the same by chance. */
function goesOn(view: View, origin: Pixel, normal: Pixel, density: number, noise: number): number {
  const { reach, breadth, leastSlope, spread, shows } = prolonged;
  const least = Math.max(leastSlope, slopeOfNoise(noise, breadth));
  const edges = edgesAcross(view.photo, origin, normal, { reach, breadth, least });
  const nearest = Math.min(prolonged.none, ...edges.map((e) => Math.abs(e.offset)));
  const near = Math.exp((-0.5 * nearest * nearest) / spread ** 2) / (spread * Math.sqrt(2 * Math.PI) * density);
  return Math.log(1 - shows + shows * near);
}

const sumUp = (ratios: readonly number[]) => {
  const mean = ratios.reduce((a, b) => a + b, 0) / Math.max(1, ratios.length);
  return Math.min(Math.max(mean * ratios.length, 0), prolonged.most);
};

/**
 * A straight line across the paper (a seam, a tape, a printed bar) can pass for the two long sides of a ring seen
 * edge-on, but it goes on where a ring ends: the evidence for edges on the prolongation of the long sides beyond the
 * outline, away from the blank.
 */
export function lineEvidence(view: View, { outline, blank, density, noise }: OutlineInView): number {
  const along = blank.direction;
  const across: Pixel = [along[1], -along[0]];
  const { parts } = prolonged;
  let total = 0;
  for (const run of [across, along]) {
    const place = (p: Pixel) => (p[0] - blank.foot[0]) * run[0] + (p[1] - blank.foot[1]) * run[1];
    const off = (p: Pixel) => Math.abs((p[0] - blank.foot[0]) * across[0] + (p[1] - blank.foot[1]) * across[1]);
    const places = outline.map((o) => place(o.pixel));
    const low = Math.min(...places);
    const high = Math.max(...places);
    for (const way of [-1, 1]) {
      const side = outline.filter((o) => way * (o.outward[0] * run[1] - o.outward[1] * run[0]) > prolonged.facing);
      if (side.length < prolonged.samples) continue;
      const first = side.reduce((a, b) => (place(a.pixel) < place(b.pixel) ? a : b)).pixel;
      const last = side.reduce((a, b) => (place(a.pixel) > place(b.pixel) ? a : b)).pixel;
      const length = pixelsApart(first, last);
      if (length < prolonged.shortest) continue;
      const direction: Pixel = [(last[0] - first[0]) / length, (last[1] - first[1]) / length];
      const normal: Pixel = [-direction[1], direction[0]];
      const ratios: number[] = [];
      for (let k = parts.from; k <= parts.to; k++) {
        for (const target of [low - (k * (high - low)) / parts.of, high + (k * (high - low)) / parts.of]) {
          const t = target - place(first);
          const origin: Pixel = [first[0] + t * direction[0], first[1] + t * direction[1]];
          // Across the blank the prolongation is not straight: that is the band's question. Along it, the outline goes
          // on anyway.
          const beyond = off(origin) - blank.halfWidth;
          if (run === across ? beyond < prolonged.beside : Math.abs(beyond) < prolonged.beside) continue;
          ratios.push(goesOn(view, origin, normal, density, noise));
        }
      }
      total += sumUp(ratios);
    }
  }
  return total;
}

/**
 * The same for a band round the blank (a mark, a tape, thread): where the ring's outline ends on the blank, the band's
 * edge goes on round the surface.
 */
export function bandEvidence(
  view: View,
  axis: BlankAxis,
  along: number,
  { outline, blank, density, noise }: OutlineInView,
): number {
  const [dx, dy] = blank.direction;
  const axial = (p: Pixel) => (p[0] - blank.foot[0]) * dx + (p[1] - blank.foot[1]) * dy;
  const lateral = (p: Pixel) => (p[0] - blank.foot[0]) * dy - (p[1] - blank.foot[1]) * dx;
  const laterals = outline.map((o) => lateral(o.pixel));
  const low = Math.min(...laterals) - prolonged.beside;
  const high = Math.max(...laterals) + prolonged.beside;
  const section = crossSection(axis, along);
  const toward = towardCamera(view.camera, section.point);
  const facing = unit(addScaled(toward, section.along, -dot(toward, section.along)));
  const sideways = cross(section.along, facing);
  const surface = (there: CrossSection, angle: number) => {
    const out = add(scale(facing, Math.cos(angle)), scale(sideways, Math.sin(angle)));
    return project(view.camera, addScaled(there.point, out, there.radius));
  };
  const here = surface(section, 0);
  const ahead = surface(crossSection(axis, along + prolonged.ahead), 0);
  if (!here || !ahead) return 0;
  const pxPerMm = (axial(ahead) - axial(here)) / prolonged.ahead;
  let total = 0;
  for (const way of [-1, 1]) {
    const side = outline.filter((o) => way * (o.outward[0] * dx + o.outward[1] * dy) > prolonged.facing);
    if (side.length < prolonged.samples) continue;
    // The outline's place on the blank's middle line, carried down to the surface.
    const middle = side.reduce((a, b) => (Math.abs(lateral(a.pixel)) < Math.abs(lateral(b.pixel)) ? a : b)).pixel;
    const s = along + (axial(middle) - axial(here)) / pxPerMm;
    const there = crossSection(axis, s);
    const ratios: number[] = [];
    for (let angle = -prolonged.round; angle <= prolonged.round; angle += prolonged.everyAngle) {
      const p = surface(there, angle);
      const next = surface(there, angle + prolonged.aheadAngle);
      if (!p || !next || (lateral(p) > low && lateral(p) < high)) continue;
      const length = Math.hypot(next[0] - p[0], next[1] - p[1]) || 1;
      ratios.push(goesOn(view, p, [(p[1] - next[1]) / length, (next[0] - p[0]) / length], density, noise));
    }
    if (ratios.length >= prolonged.samples) total += sumUp(ratios);
  }
  return total;
}
