import type { Stretch } from '../plan/stretch.ts';
import type { BlankAxis } from '../geometry/blank_axis.ts';
import type { LineSighting } from './lengthwise_strip.ts';
import { paperColour, usualPaper } from './paper.ts';
import { measureLine } from './spine_line.ts';
import { type LineCandidate, searchSpineLines } from './spine_search.ts';
import type { PerView, View } from './strip.ts';
import type { Colour } from './strip_relief.ts';
import { measureEdge } from './tape_edge.ts';

/** What runs along the blank: a marker's stroke, or the edge of a strip of tape. */
export type LineShape = 'stroke' | 'edge';

/** A line that may run along the blank, as the photos that show it do. */
export interface SeenLine {
  line: LineCandidate;
  /** at least one, by view */
  sightings: (LineSighting & { paper: Colour })[];
}

/** All that may be lines of this shape along the blank between two arc lengths (mm), measured in every photo. */
export const seenLines = (views: PerView<View>, axis: BlankAxis, range: Stretch, shape: LineShape): SeenLine[] =>
  searchSpineLines(views, axis, range, shape).flatMap((line) => {
    const measure = shape === 'stroke' ? measureLine : measureEdge;
    const sightings = views.flatMap((view, i) => {
      const seen = measure(view, i, axis, line);
      return seen ? [{ ...seen, paper: paperColour(view, axis, (line.from + line.to) / 2) ?? usualPaper }] : [];
    });
    return sightings.length > 0 ? [{ line, sightings }] : [];
  });
