import type { Estimate } from '../numerics/estimate.ts';
import { type BlankAxis, blankRadius, crossSection, rollDirection } from '../geometry/blank_axis.ts';
import { type Camera, project } from '../geometry/camera.ts';
import { addScaled, type Pixel } from '../geometry/vector.ts';
import { type MarkColour, nameColour } from '../vision/mark_colour.ts';
import type { MarkSighting } from '../vision/mark_band.ts';
import type { MarkSearchResult } from '../vision/mark_search.ts';
import { median } from '../numerics/robust.ts';
import type { ViewIndex } from '../vision/strip.ts';

/** What the builder puts on the planned place: the band's centre, or one of its edges. */
export type MarkedBy = 'centre' | 'tip-edge' | 'butt-edge';

/**
 * One mark on the blank, joined over the photos. Arc lengths and widths in mm. The uncertainties hold for the given
 * cameras and axis: pixel noise, the scatter between photos and the band's raggedness, not the cameras' own.
 */
export interface FittedMark {
  /** the place the builder meant, by `markedBy` */
  along: Estimate;
  centre: Estimate;
  tipEdge: Estimate;
  buttEdge: Estimate;
  width: Estimate;
  colour: MarkColour;
  /** how far it stands out of the blank's own texture, standard deviations (the best photo's) */
  contrast: number;
  /** share of the visible width on which it shows (the best photo's), 0..1 */
  coverage: number;
  /** roll angles (degrees) between which it was seen to go round */
  rolls: [number, number];
  /** 0 = clean blank on both sides of it; near 1 = something as strong as the mark stands beside it */
  clutter: number;
  /** mm that `along` moves for each mm the axis really lies nearer to the cameras; 0 for balanced views */
  perHeight: number;
  /** indices of the views that show it, and of those that should */
  views: ViewIndex[];
  covering: ViewIndex[];
  sightings: MarkSighting[];
}

/** What makes sightings a mark (common practice, no source; held to the drawn rods of `marks.test.ts`). */
const marking = {
  /** sightings whose middles lie this near, a share of their width and mm more, are of one mark */
  sameWidth: 0.4,
  sameMm: 0.25,
  /** a photo that shows a place to so many mm beyond the mark's edges should show the mark */
  covered: 1.5,
  /** one photo alone, against others that show nothing: share of the width, deviations above the blank's texture */
  aloneCoverage: 0.6,
  aloneContrast: 14,
  /** what it must differ from the blank beside it, against the white of the mat: an eye needs as much */
  faintest: 0.05,
  /**
   * dirt on the blank: a patch that does not go across, and differs from it by less than this share of what is usual
   * among so many marks, all made by one hand and marker
   */
  dirtCoverage: 0.85,
  dirtDifference: 0.25,
  dirtAmong: 3,
  /** tan and wider than this it is a strip of masking tape, mm */
  tape: 2.2,
  /**
   * degrees of freedom behind one sighting's raggedness (groups of rows less one), and of what all marks share at most
   */
  groupsFreedom: 4,
  mostShared: 4,
  /**
   * variances are widened by so many parts of one over their freedom: 2 is Student's, the rest marks' own differences
   */
  widened: 5,
  /** a mark is drawn this far round (degrees) to both sides of facing the camera, a point every so many */
  drawnRound: 80,
  drawnEvery: 10,
} as const;

const centreOf = (m: MarkSighting): number => (m.tipEdge + m.buttEdge) / 2;

/** Sightings of one place, at most one a view: neighbours that overlap are one mark. */
function groupSightings(sightings: readonly MarkSighting[]): MarkSighting[][] {
  const sorted = [...sightings].sort((a, b) => centreOf(a) - centreOf(b));
  const groups: MarkSighting[][] = [];
  for (const sighting of sorted) {
    const home = groups.findLast((group) => {
      if (group.some((other) => other.view === sighting.view)) return false;
      const middle = group.reduce((sum, other) => sum + centreOf(other), 0) / group.length;
      const width = Math.min(...group.map((o) => o.buttEdge - o.tipEdge), sighting.buttEdge - sighting.tipEdge);
      return Math.abs(centreOf(sighting) - middle) < marking.sameWidth * width + marking.sameMm;
    });
    if (home === undefined) groups.push([sighting]);
    else home.push(sighting);
  }
  return groups;
}

/**
 * Steadier raggedness: one sighting's own comes from five groups of rows only, so what all marks show (the same hand
 * and marker, per mm round the blank) is weighed in. The sum is widened as Student's t is against the normal
 * distribution, and a little more, since marks are not all equally ragged.
 */
function settleRaggedness(sightings: readonly MarkSighting[]): MarkSighting[] {
  const perMm = (pick: (m: MarkSighting) => number): number => median(sightings.map((m) => pick(m) ** 2 * m.arc));
  const centre = perMm((m) => m.raggedCentreU);
  const edge = perMm((m) => m.raggedEdgeU);
  const shared = Math.min(sightings.length - 1, marking.mostShared);
  const { groupsFreedom, widened } = marking;
  const freedom = groupsFreedom + shared;
  const settle = (own: number, common: number, arc: number): number =>
    Math.sqrt(((groupsFreedom * own ** 2 + (shared * common) / arc) / freedom) * (1 + widened / freedom));
  return sightings.map((m) => ({
    ...m,
    raggedCentreU: settle(m.raggedCentreU, centre, m.arc),
    raggedEdgeU: settle(m.raggedEdgeU, edge, m.arc),
  }));
}

/**
 * Weighted mean; its uncertainty is widened by the scatter where that exceeds what the weights promise (Birge 1932),
 * and never falls below the shared part.
 */
function combine(values: readonly number[], own: readonly number[], shared: readonly number[]): Estimate {
  const weights = own.map((u, i) => 1 / (u * u + (shared[i]! * shared[i]!) / 4));
  const total = weights.reduce((a, b) => a + b, 0);
  const mean = values.reduce((sum, v, i) => sum + v * weights[i]!, 0) / total;
  const chi = values.reduce((sum, v, i) => sum + weights[i]! * (v - mean) ** 2, 0);
  const birge = values.length > 1 ? Math.max(chi / (values.length - 1), 1) : 1;
  const common = Math.sqrt(shared.reduce((sum, u) => sum + u * u, 0) / shared.length);
  return { value: mean, u: Math.sqrt(birge / total + common ** 2) };
}

function joinSightings(group: readonly MarkSighting[], markedBy: MarkedBy): Omit<FittedMark, 'colour' | 'covering'> {
  const own = group.map((m) => m.centreU);
  const ragged = group.map((m) => m.raggedCentreU);
  const edgeOwn = group.map((m) => m.edgeU);
  const edgeRagged = group.map((m) => m.raggedEdgeU);
  const centre = combine(group.map(centreOf), own, ragged);
  const tipEdge = combine(
    group.map((m) => m.tipEdge),
    edgeOwn,
    edgeRagged,
  );
  const buttEdge = combine(
    group.map((m) => m.buttEdge),
    edgeOwn,
    edgeRagged,
  );
  const width = combine(
    group.map((m) => m.buttEdge - m.tipEdge),
    edgeOwn.map((u) => u * Math.SQRT2),
    edgeRagged.map((u) => u * Math.SQRT2),
  );
  const weights = own.map((u, i) => 1 / (u * u + ragged[i]! ** 2 / 4));
  const total = weights.reduce((a, b) => a + b, 0);
  return {
    along: markedBy === 'centre' ? centre : markedBy === 'tip-edge' ? tipEdge : buttEdge,
    centre,
    tipEdge,
    buttEdge,
    width,
    contrast: Math.max(...group.map((m) => m.score)),
    coverage: Math.max(...group.map((m) => m.coverage)),
    rolls: [Math.min(...group.map((m) => m.rolls[0])), Math.max(...group.map((m) => m.rolls[1]))],
    clutter: Math.min(...group.map((m) => m.clutter)),
    perHeight: group.reduce((sum, m, i) => sum + m.parallax * weights[i]!, 0) / total,
    views: group.map((m) => m.view),
    sightings: [...group],
  };
}

/**
 * The marks on the bare blank: bands seen in the photos (`searchMarks`), joined where they lie at
 * one place. A band that most of the photos looking there do not show is taken for a reflection or dirt. Sorted from
 * tip to butt.
 */
export function fitMarks({ sightings, searched }: MarkSearchResult, markedBy: MarkedBy = 'centre'): FittedMark[] {
  const marks: { mark: FittedMark; difference: number }[] = [];
  for (const group of groupSightings(settleRaggedness(sightings))) {
    const joined = joinSightings(group, markedBy);
    const covering = searched.flatMap((stretch, view) => {
      const inside =
        stretch !== undefined &&
        joined.tipEdge.value > stretch.from + marking.covered &&
        joined.buttEdge.value < stretch.to - marking.covered;
      const sighting = group.find((m) => m.view === view);
      return inside || sighting !== undefined ? [view] : [];
    });
    if (2 * group.length < covering.length) continue;
    const unconfirmed = group.length === 1 && covering.length > 1;
    if (unconfirmed && (joined.coverage < marking.aloneCoverage || joined.contrast < marking.aloneContrast)) continue;
    const clearest = group.reduce((a, b) => (a.coverage * a.pixelsPerMm >= b.coverage * b.pixelsPerMm ? a : b));
    const { colour: own, ground, paper: white } = clearest;
    const difference = Math.hypot(own[0] - ground[0], own[1] - ground[1], own[2] - ground[2]) / white[0];
    if (difference < marking.faintest) continue;
    marks.push({ mark: { ...joined, colour: nameColour(own, ground, white), covering }, difference });
  }
  return withoutTape(withoutDirt(marks)).sort((a, b) => a.centre.value - b.centre.value);
}

/** Smears and dust on the blank are no marks, where the marks themselves are far clearer. */
function withoutDirt(marks: readonly { mark: FittedMark; difference: number }[]): FittedMark[] {
  const least = marking.dirtDifference * median(marks.map(({ difference }) => difference));
  const isDirt = ({ mark: { coverage }, difference }: (typeof marks)[0]): boolean =>
    marks.length > marking.dirtAmong && coverage < marking.dirtCoverage && difference < least;
  return marks.filter((one) => !isDirt(one)).map(({ mark }) => mark);
}

/** Narrow strips of masking tape are no marks, where the marks themselves have another colour. */
function withoutTape(marks: readonly FittedMark[]): FittedMark[] {
  const strip = (mark: FittedMark): boolean => mark.colour === 'tan' && mark.width.value > marking.tape;
  const others = marks.filter((mark) => mark.colour !== 'tan' && mark.colour !== 'yellow');
  return 2 * others.length > marks.length ? marks.filter((mark) => !strip(mark)) : [...marks];
}

/** The mark's two edges as polylines in a photo's own pixels, over the roll angles (degrees) that face the camera. */
export function markOutline(camera: Camera, axis: BlankAxis, mark: FittedMark, facing: number): Pixel[][] {
  return [mark.tipEdge.value, mark.buttEdge.value].map((s) => {
    const section = crossSection(axis, s);
    const line: Pixel[] = [];
    const { drawnRound, drawnEvery } = marking;
    for (let roll = facing - drawnRound; roll <= facing + drawnRound; roll += drawnEvery) {
      const pixel = project(camera, addScaled(section.point, rollDirection(section, roll), blankRadius(axis, s)));
      if (pixel !== undefined) line.push(pixel);
    }
    return line;
  });
}
