import type { Stretch } from '../plan/stretch.ts';
import { bandColours, gammaShift, textureSigma } from './band_colour.ts';
import { bandEdges, marker } from './band_edges.ts';
import { type BandCandidate, bandPicture, bandRows } from './band_rows.ts';
import type { Strip, ViewIndex } from './strip.ts';
import type { Colour, StripRelief } from './strip_relief.ts';

/** A mark as one photo shows it: edges as arc lengths on the blank's surface, mm. */
export interface MarkSighting {
  /** index of the view */
  view: ViewIndex;
  tipEdge: number;
  buttEdge: number;
  /** standard uncertainty of the edges' mean and of each edge from this photo's pixels */
  centreU: number;
  edgeU: number;
  /** the same from the band's own raggedness, which other photos of the same side share */
  raggedCentreU: number;
  raggedEdgeU: number;
  /** mm round the blank over which it shows */
  arc: number;
  /** how far the band stands out of the blank's texture, standard deviations */
  score: number;
  /** share of the visible width on which the band shows, 0..1 */
  coverage: number;
  /** roll angles (degrees, as in `rollDirection`) between which it shows in this photo */
  rolls: [number, number];
  /** the band's own luma, Cb, Cr; of the blank beside it; and of the blank at large here */
  colour: Colour;
  ground: Colour;
  typical: Colour;
  /** of the white paper beside the blank here */
  paper: Colour;
  /** how much the ground next to the band differs from the blank at large, against the band's contrast: 0 = clean */
  clutter: number;
  /** photo pixels per mm along the blank here */
  pixelsPerMm: number;
  /** mm the place moves along for each mm the blank's axis is really nearer to the camera */
  parallax: number;
}

/** A photo's strip with what stands out of it: `inverse` = of the covariance of the blank's own colours. */
export interface MarkedStrip {
  strip: Strip;
  relief: StripRelief;
  inverse: readonly number[];
}

/**
 * Where a candidate stands: `room` = the arc lengths its fit may use, `radius` of the blank (mm), `busy` = mm of blank
 * within 14 mm that hold other prominent things, `score` = how far it stands out, standard deviations.
 */
export interface BandPlace {
  room: Stretch;
  radius: number;
  busy: number;
  score: number;
}

/**
 * What uneven ground does to an edge: a step of g in the ground against an edge of height h and blur b moves its
 * half-height by g / h over the edge's slope, b sqrt(2 pi); half as much again, since the fit's window sees its slope
 * too.
 */
const texturePull = 1.5 * Math.sqrt(2 * Math.PI);

/** What a candidate must be to be measured, and how well its place may be known. */
const measured = {
  /** pixels by which blur may widen the widest band in a first look */
  softer: 1.5,
  /**
   * what stands beside it stands out at most this much of it: more is the end of a strip of tape, or a piece of
   * something larger
   */
  mostClutter: 0.9,
  /** encoding widens a band only where lens and sensor blur it: up to this, pixels */
  lensBlur: 0.5,
  /** what its place is not known better than, pixels: middle and each edge (sharpening, JPEG; held to tests/world) */
  centreFloor: 0.06,
  edgeFloor: 0.1,
  /** it goes this far round at least, mm: where it shows in one row, its length round is not known */
  leastArc: 0.2,
} as const;

/**
 * Measures one candidate; undefined when it is no band: too wide or thin, a speck, a letter, an oblique or broken
 * thing.
 */
export function measureBand(
  { strip, relief, inverse }: MarkedStrip,
  candidate: BandCandidate,
  { room, radius, busy, score }: BandPlace,
): Omit<MarkSighting, 'view' | 'paper'> | undefined {
  const { from, to, peak } = candidate;
  const rough = (to - from + 1) * strip.step;
  const ppm = strip.pixelsPerMm[peak]!;
  if (rough > marker.widest + measured.softer / ppm) return undefined;
  const picture = bandPicture(strip, relief, inverse, candidate);
  if (picture === undefined) return undefined;
  const inset = Math.min(Math.round(rough / (4 * strip.step)), (to - from) >> 1);
  const shown = bandRows(picture, candidate, inset, radius, busy);
  const edges = shown && bandEdges(picture, candidate, shown.rows, room, shown.short);
  if (edges === undefined) return undefined;
  const { fit, ragged } = edges;
  const colours = bandColours(strip, relief, shown!.rows, fit, { peak, inset });
  if (colours.clutter > measured.mostClutter) return undefined;
  const [tipU, buttU] = fit.edgeU;
  const centreU = Math.sqrt(Math.max(tipU ** 2 + buttU ** 2 + 2 * fit.edgeCorrelation * tipU * buttU, 0) / 4);
  const edgeU = Math.hypot(tipU, buttU) / Math.SQRT2;
  const { direction, unitHeight, lumaShare } = picture;
  const texture = (fit.blur * texturePull * textureSigma(relief, direction)) / (unitHeight * fit.height);
  const swell =
    lumaShare * gammaShift(colours.colour[0], colours.typical[0], Math.min(fit.blur, measured.lensBlur / ppm));
  const degrees = (angle: number): number => strip.facing[peak]! + (angle * 180) / Math.PI;
  return {
    tipEdge: fit.tip + swell,
    buttEdge: fit.butt - swell,
    centreU: Math.hypot(centreU, texture / Math.SQRT2, measured.centreFloor / ppm),
    edgeU: Math.hypot(edgeU, texture, measured.edgeFloor / ppm, swell / 2),
    raggedCentreU: ragged.centre,
    raggedEdgeU: ragged.edge,
    arc: Math.max(shown!.arc, measured.leastArc),
    score,
    coverage: shown!.coverage,
    rolls: [degrees(shown!.low), degrees(shown!.high)],
    ...colours,
    pixelsPerMm: ppm,
    parallax: strip.parallax[peak]!,
  };
}
