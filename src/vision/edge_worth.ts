import type { Blank } from '../plan/plan.ts';
import type { LaneEdge } from './lane_edges.ts';
import type { Colour } from './strip_relief.ts';

/** What makes two edges a blank's outlines (by the photo sets, no source). */
const worth = {
  /** what a pair counts whose edges do not both get lighter outward: only beside a light blank lies something darker */
  oddPair: 0.8,
  /** an edge of this slope (grey levels a pixel) is worth half of a sharp one; colour alone counts as the second */
  halfWorth: 5,
  colourSlope: 4,
  /**
   * a light blank's lit side shows at least twice `shaded` of the paper's luma, and its dark side more than a hard
   * shadow; what shows less is worth less, down to a share
   */
  shaded: 0.3,
  hardShadow: 0.25,
  lessHard: 0.12,
  leastLight: 0.05,
  /** a blank this far from the paper's Cb and Cr is coloured */
  coloured: 14,
  /**
   * where the walk meets a colour so far from the paper's, what has less than half of it is worth this share: a
   * coloured blank's shadow has none
   */
  strongColour: 20,
  colourless: 0.45,
  /** colours inside its outlines are even where the weaker has one part in so many of the stronger */
  evenParts: 1.5,
} as const;

/** What two edges speak for a blank between them, 0 to 1. */
export function edgeWorth(low: LaneEdge, high: LaneEdge, paper: Colour, finish: Blank['finish']): number {
  const weaker = Math.min(slopeOf(low), slopeOf(high));
  const clear = (weaker / (weaker + worth.halfWorth)) * evenColour(low.above, high.below, paper);
  if (finish === 'dark') return clear;
  const even = low.slope <= 0 && high.slope >= 0;
  return clear * litness(low.above[0], high.below[0], paper[0]) * (even ? 1 : worth.oddPair);
}

/** How far a colour lies from the paper's, levels of Cb and Cr. */
const colourfulness = (c: Colour, paper: Colour): number => Math.hypot(c[1] - paper[1], c[2] - paper[2]);

/**
 * What two edges with these colours inside are worth on a walk whose strongest colour is `most`: all, unless that is a
 * blank's own and they have hardly any of it.
 */
export function worthByColour(low: Colour, high: Colour, paper: Colour, most: number): number {
  if (most < worth.strongColour) return 1;
  return Math.max(colourfulness(low, paper), colourfulness(high, paper)) < most / 2 ? worth.colourless : 1;
}

/** On a coloured blank the colour goes from outline to outline: its shadow beside it has none. 0 to 1. */
function evenColour(low: Colour, high: Colour, paper: Colour): number {
  const [a, b] = [colourfulness(low, paper), colourfulness(high, paper)];
  const most = Math.max(a, b);
  return most < worth.coloured ? 1 : Math.min(1, (worth.evenParts * Math.min(a, b)) / most);
}

/**
 * How much the luma inside two edges speaks for a light blank, 0 to 1: it is lit on one side at least, and the paper
 * lights the other; its hard shadow is dark on both, its shadow with a piece of the blank on one.
 */
export function litness(low: number, high: number, paper: number): number {
  const lit = (Math.max(low, high) / paper - worth.shaded) / worth.shaded;
  const clear = (Math.min(low, high) / paper - worth.hardShadow) / worth.lessHard;
  return Math.min(Math.max(Math.min(lit, clear), worth.leastLight), 1);
}

const slopeOf = (edge: LaneEdge): number => (edge.slope === 0 ? worth.colourSlope : Math.abs(edge.slope));
