import { type PaperName, paperSizes, tagPlace, tagSpacing, tagsPerRow } from '../../mat/tile.ts';
import { median } from '../../numerics/robust.ts';
import { type Plan, planStart } from '../../plan/plan.ts';
import type { KeptCheck } from '../../store/build.ts';
import { axisStep, type PhotoEvidence } from '../../verdict/evidence.ts';
import type { Columns } from './photo_view.ts';

/** Names of the planned guides over some of the mat's columns, in the order of the columns. */
export type GuidesOver = (columns: Columns) => string[];

/**
 * Where the planned guides lie over the mat, once photos tell where the rod lies on it: its tip, and which way round.
 * To some millimetres, good enough to lead a hand; tiles are taken as butted edge to edge.
 */
export function guidesOverMat(plan: Plan, { evidence }: KeptCheck, paper: PaperName): GuidesOver | undefined {
  const pairs = evidence.photos.flatMap((photo) => besideTags(photo, paper));
  const ways = [1, -1].map((way) => {
    const from = pairs.map(({ over, along }) => over - way * along);
    const tip = from.length > 0 ? median(from) : 0;
    return { way, tip, miss: Math.max(...from.map((own) => Math.abs(own - tip)), 0) };
  });
  const lies = ways.find(({ miss }) => pairs.length > 1 && miss < farOff);
  if (!lies) return undefined;
  const start = planStart(plan);
  const guides = plan.positions
    .filter(({ kind }) => kind === 'guide')
    .map(({ id, at }) => ({ id, over: lies.tip + lies.way * (at - start) }))
    .toSorted((a, b) => a.over - b.over);
  return ({ from, to }) =>
    guides.filter(({ over }) => over >= edgeOf(from, -1, paper) && over < edgeOf(to, 1, paper)).map(({ id }) => id);
}

/** A tag farther off the one line than this, mm, belongs to a page that lies elsewhere: then nothing is named. */
const farOff = 60;

/** Each tag's place along the mat, and the rod's arc length beside it, mm. */
function besideTags({ tags, axis, covers }: PhotoEvidence, paper: PaperName): { over: number; along: number }[] {
  const from = Math.max(covers?.from ?? 0, 0);
  return tags.flatMap(({ id, corners }) => {
    const place = tagPlace(id);
    if (!place || axis.length === 0) return [];
    const middle = [0, 1].map((k) => corners.reduce((sum, corner) => sum + corner[k as 0]!, 0) / corners.length);
    const distances = axis.map(([x, y]) => Math.hypot(x - middle[0]!, y - middle[1]!));
    const nearest = distances.indexOf(Math.min(...distances));
    // beyond what shows of the blank no place of it lies beside the tag
    if (nearest === 0 || nearest === axis.length - 1) return [];
    return [{ over: place.tile * paperSizes[paper].width + place.centre[0], along: from + nearest * axisStep }];
  });
}

/**
 * mm along the mat from the middle of its first tile to a column's left (-1) or right edge, half way to the next one.
 */
function edgeOf(column: number, side: -1 | 1, paper: PaperName): number {
  const { width } = paperSizes[paper];
  const last = (tagsPerRow - 1) / 2;
  const place = (column % tagsPerRow) - last;
  const edge = place * side === last ? side * (width / 2) : (place + side / 2) * tagSpacing;
  return Math.floor(column / tagsPerRow) * width + edge;
}
