import type { FittedMark } from './mark_fit.ts';

/** The mark that shows beside a ring; lengths in mm. */
export interface RingMark {
  mark: FittedMark;
  /** ring minus mark along the blank: positive = the ring lies nearer to the butt than its mark */
  offset: number;
}

/** What passes for the builder's mark beside a guide (common practice, no source); laxer, feet and tape pass for it. */
const clear = {
  /** half of the farthest disagreement that two clear looks at one band may have, mm; widths also by a share */
  agree: 0.25,
  ofWidth: 0.2,
  /** clutter beside it at most, where two photos or more confirm it, and where one alone shows it */
  clutter: { confirmed: 0.25, alone: 0.15 },
  /** share of the visible width it covers at least; mm wide, as a marker draws */
  coverage: 0.7,
  narrowest: 0.7,
  widest: 3.3,
  /** a mark so far from every ring, mm, and so near to a planned place without one, tells the marker's colour */
  lone: 30,
  nearPlace: 15,
  /** mm from the ring within which its own mark may show */
  reach: 12,
} as const;

/**
 * Could this be one of the builder's marks beside a taped guide? Feet, tape, wire and their reflections make bands too,
 * so only a clear look counts: bare blank on both sides, most of the visible width, one marker's colour, and photos
 * that agree.
 */
function isClear(mark: FittedMark, colours: ReadonlySet<string>): boolean {
  const centres = mark.sightings.map((s) => (s.tipEdge + s.buttEdge) / 2);
  const widths = mark.sightings.map((s) => s.buttEdge - s.tipEdge);
  const agree =
    Math.max(...centres) - Math.min(...centres) < 2 * clear.agree &&
    Math.max(...widths) - Math.min(...widths) < 2 * clear.agree + clear.ofWidth * mark.width.value;
  const confirmed =
    mark.views.length > 1
      ? mark.clutter < clear.clutter.confirmed
      : mark.covering.length === 1 && mark.clutter < clear.clutter.alone;
  return (
    agree &&
    confirmed &&
    mark.coverage > clear.coverage &&
    mark.width.value > clear.narrowest &&
    mark.width.value < clear.widest &&
    colours.has(mark.colour)
  );
}

/**
 * For each ring (arc length of its centre, mm) the mark visible within `reach` mm of it, if one shows clearly; a mark
 * may well be hidden under the guide. Each mark goes to its nearest ring. `others` = planned places (mm) without a
 * ring, such as a tip wrap: marks near those tell which colour the builder's marker has.
 */
export function marksNearRings(
  marks: readonly FittedMark[],
  rings: readonly number[],
  others: readonly number[] = [],
  reach: number = clear.reach,
): (RingMark | undefined)[] {
  const away = (mark: FittedMark, places: readonly number[]): number =>
    Math.min(Infinity, ...places.map((place) => Math.abs(place - mark.centre.value)));
  const lone = marks.filter(
    (mark) => away(mark, rings) > clear.lone && (others.length === 0 || away(mark, others) < clear.nearPlace),
  );
  const colours = new Set<string>(lone.map((mark) => mark.colour));
  const known = colours.size > 0 ? colours : new Set<string>(marks.map((mark) => mark.colour));
  const shown = marks.filter((mark) => isClear(mark, known));
  return rings.map((ring) => {
    const near = shown
      .filter(
        (mark) =>
          Math.abs(mark.centre.value - ring) <= reach && away(mark, rings) === Math.abs(mark.centre.value - ring),
      )
      .sort((a, b) => b.coverage * b.contrast - a.coverage * a.contrast);
    const best = near[0];
    return best === undefined ? undefined : { mark: best, offset: ring - best.centre.value };
  });
}
