import type { Estimate } from '../numerics/estimate.ts';
import { parameterCovariance, solveLeastSquares } from '../numerics/least_squares.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import type { PerView, ViewIndex } from '../vision/strip.ts';
import { ParameterVector } from './parameters.ts';
import { prior } from './prior.ts';

/** A guide as single photos show it, each by itself, all reckoned at one height; mm. */
export interface GuideByPhoto {
  /** where it stands along the blank by all photos together */
  along: number;
  /** how much higher than reckoned it stands by the plan */
  rise: Estimate;
  /** its outer radius, mm, where a plan may count its height to the top or the bore; 0 where it has no such height */
  countedOver: number;
  readings: GuideReading[];
}

/** Where one photo has a guide, and how far it moves for each mm that the guide really stands higher, mm. */
export interface GuideReading {
  view: ViewIndex;
  perHeight: number;
  /** where it may be, the likeliest first: a rim may be taken for its neighbour */
  places: readonly GuidePlace[];
}

/** So far from where all photos have it, mm, and so many squared deviations less likely than the likeliest place. */
export interface GuidePlace {
  off: number;
  u: number;
  unlikely: number;
}

/** How far each view may be off along as a whole, and the axis's height: standard deviations, mm. */
export interface ViewsOff {
  drift: PerView<number>;
  height: number;
}

/** How guides are solved (lengths in mm, standard deviations). */
const solving = {
  /** the axis's height may be off by more at the ends of what is shown than in its middle: its share over this */
  heightPerReach: 0.5,
  reach: 500,
  /**
   * by which share of their radius a plan may count all heights too high, to the centre, or to bore or top; how
   * exactly, and by how many squared deviations that is less likely
   */
  counted: [
    { over: 0, u: 0.05, unlikely: 0 },
    { over: 0.87, u: 0.12, unlikely: 2 },
  ],
  greatest: 25,
  /** beyond this many deviations a reading is of something else */
  outlier: 2.5,
  mostSteps: 40,
  /** rounds in which places are chosen anew by what the others say */
  rounds: 4,
} as const;

/**
 * The slide from one view on, started at `about`, or none where that is undefined: solved, and again with the place of
 * each reading that goes best with the others. `cost` in squared deviations.
 */
export function solveSlides(
  guides: readonly GuideByPhoto[],
  off: ViewsOff,
  from: ViewIndex,
  about: number | undefined,
): Solved[] {
  const ways = solving.counted.flatMap((counted) => {
    const problem = guideProblem(guides, off, { from, about }, counted);
    const { sightings, start } = problem;
    // From the likeliest places, and from those nearest to the start: either may end in a minimum of its own.
    const [likeliest, nearest] = [sightings.map(() => 0), sightings.map((sighting) => bestPlace(sighting, start))];
    const firsts = nearest.every((place) => place === 0) ? [likeliest] : [likeliest, nearest];
    return firsts.map((chosen) => settlePlaces(problem, chosen));
  });
  return ways.sort((a, b) => a.cost - b.cost);
}

/** The best of them. */
export const solveSlide = (...asked: Parameters<typeof solveSlides>): Solved => solveSlides(...asked)[0]!;

/** Solved in turns with the places that go best with what was solved before, from those chosen at first. */
function settlePlaces(problem: GuideProblem, first: readonly number[]): Solved {
  let [chosen, solved] = [first, solveWith(problem, problem.start, first)];
  for (let round = 0; round < solving.rounds; round++) {
    const { values } = solved;
    const next = problem.sightings.map((sighting) => bestPlace(sighting, values));
    if (next.every((place, i) => place === chosen[i])) break;
    const again = solveWith(problem, values, next);
    if (again.cost >= solved.cost) break;
    [chosen, solved] = [next, again];
  }
  return solved;
}

/** A slide solved: `cost` in squared deviations, and how many readings there are beyond what is unknown. */
export interface Solved {
  along: Estimate;
  cost: number;
  freedom: number;
}

/** A reading with the unknowns that it is a weighted sum of. */
interface Sighting extends GuideReading {
  terms: readonly (readonly [unknown: number, weight: number])[];
}

interface GuideProblem {
  sightings: Sighting[];
  priors: ResidualBlock[];
  start: Float64Array;
  slide: number | undefined;
  freedom: number;
  /** squared deviations by which its way of counting heights is less likely than another */
  unlikely: number;
}

type CountedTo = (typeof solving.counted)[number];

function guideProblem(
  guides: readonly GuideByPhoto[],
  off: ViewsOff,
  { from, about }: { from: ViewIndex; about: number | undefined },
  counted: CountedTo,
): GuideProblem {
  const parameters = new ParameterVector();
  const views = [...new Set(guides.flatMap(({ readings }) => readings.map(({ view }) => view)))];
  const middle = guides.reduce((sum, { along }) => sum + along, 0) / guides.length;
  const places = guides.map(({ readings: [first] }) =>
    parameters.add([first!.places[0]!.off - (first!.view >= from ? (about ?? 0) : 0)]),
  );
  const rises = guides.map(({ rise }) => parameters.add([rise.value]));
  const drifts = new Map(views.map((view) => [view, parameters.add([0])]));
  const height = parameters.add([0, 0]);
  const over = parameters.add([counted.over]);
  const slide = about === undefined ? undefined : parameters.add([about]);
  const sightings = guides.flatMap((guide, i) =>
    guide.readings.map((reading): Sighting => {
      const { view, perHeight } = reading;
      const terms: [number, number][] = [
        [places[i]!, 1],
        [drifts.get(view)!, 1],
        [rises[i]!, perHeight],
        [height, perHeight],
        [height + 1, (perHeight * (guide.along - middle)) / solving.reach],
        [over, -perHeight * guide.countedOver],
      ];
      return { ...reading, terms: slide !== undefined && view >= from ? [...terms, [slide, 1]] : terms };
    }),
  );
  const priors: ResidualBlock[] = [
    ...guides.map(({ rise }, i) => ({ ...prior(rises[i]!, rise.value, rise.u), robust: solving.outlier })),
    ...views.map((view) => prior(drifts.get(view)!, 0, off.drift[view]!)),
    // A shadow taken for the blank puts the axis farther off than any doubt of its outlines.
    { ...prior(height, 0, off.height), robust: solving.outlier },
    { ...prior(height + 1, 0, solving.heightPerReach * off.height), robust: solving.outlier },
    prior(over, counted.over, counted.u),
    ...(slide === undefined ? [] : [prior(slide, 0, solving.greatest)]),
  ];
  const freedom = Math.max(sightings.length - guides.length - 1, 1);
  return { sightings, priors, start: parameters.values(), slide, freedom, unlikely: counted.unlikely };
}

const expectedOff = ({ terms }: Sighting, values: Float64Array): number =>
  terms.reduce((sum, [unknown, weight]) => sum + weight * values[unknown]!, 0);

/** Which of a reading's places goes best with the unknowns as they stand. */
function bestPlace(sighting: Sighting, values: Float64Array): number {
  const expected = expectedOff(sighting, values);
  const costs = sighting.places.map(({ off, u, unlikely }) => ((off - expected) / u) ** 2 + unlikely);
  return costs.indexOf(Math.min(...costs));
}

/** Least squares with Cauchy's loss; the slide's doubt grows with what the readings disagree by. */
function solveWith(
  { sightings, priors, slide, freedom, unlikely: counted }: GuideProblem,
  start: Float64Array,
  chosen: readonly number[],
): Solved & { values: Float64Array } {
  const places = sightings.map((sighting, i) => sighting.places[chosen[i]!]!);
  const blocks = [...sightings.map((sighting, i) => sightingBlock(sighting, places[i]!)), ...priors];
  const solution = solveLeastSquares(blocks, start, { maximumIterations: solving.mostSteps });
  const { values } = solution;
  const cost = 2 * solution.cost + places.reduce((sum, { unlikely }) => sum + unlikely, counted);
  if (slide === undefined) return { along: { value: 0, u: 0 }, cost, freedom, values };
  const variance = parameterCovariance(blocks, values)?.[slide * (values.length + 1)] ?? solving.greatest ** 2;
  return {
    along: { value: values[slide]!, u: Math.sqrt(variance * Math.max(cost / freedom, 1)) },
    cost,
    freedom,
    values,
  };
}

function sightingBlock(sighting: Sighting, { off, u }: GuidePlace): ResidualBlock {
  const { terms } = sighting;
  return {
    parameters: terms.map(([unknown]) => unknown),
    size: 1,
    robust: solving.outlier,
    evaluate(values, residuals, jacobian) {
      residuals[0] = (expectedOff(sighting, values) - off) / u;
      if (jacobian) for (const [i, [, weight]] of terms.entries()) jacobian[i] = weight / u;
    },
  };
}
