import type { Camera } from '../geometry/camera.ts';
import type { Blank } from '../plan/plan.ts';
import type { Rest } from '../plan/shoot.ts';
import { type BlankPath, type Expected, searchBlank } from '../vision/blank_search.ts';
import { type Lane, reverseLane } from '../vision/lane.ts';
import { type LaneEdges, reverseEdges } from '../vision/lane_edges.ts';
import {
  type BlankProblem,
  blankProblem,
  endOf,
  outlineSigma,
  type PaperHeight,
  restingHeight,
} from './blank_problem.ts';
import { fitOutline, type OutlineFit } from './blank_rounds.ts';
import { type BlankStart, gripFrom, plannedWidth, tipEnd } from './blank_start.ts';
import { sightedSides } from './sighted_sides.ts';
import type { AxisStation } from '../vision/outline.ts';
import type { HoldParts, PerPhoto } from '../photo/photo.ts';
import { foldEdges } from '../vision/folded_stations.ts';

/** The place where the blank lies, chosen among all that look like one, with the edges of all photos turned its way. */
export interface ChosenBlank {
  problem: BlankProblem;
  edges: (LaneEdges | undefined)[];
  /** whether some photo shows paper beyond the tip */
  tipSeen: boolean;
}

/** Latitude of a width against the plan's taper: with the tip's place known, and before. */
const latitude = { known: { share: 0.15, extra: 0.4 }, unknown: { share: 0.5, extra: 0.6 } };

/** Each way along the lane is fitted roughly as if it were the blank. */
const draft = [
  { reach: 1.5, pairsFirst: true, stride: 3, leastGain: 1e-3 },
  { reach: 1.2, pairsFirst: true, stride: 3, leastGain: 1e-3 },
];

/** A way freed of a kink must be better than the one that has it by more than chance: it counts for so much. */
const freedCounts = 0.85;

/**
 * The way round whose beginning the finder takes for the tip counts for so much: a pale taper tells little, nor does
 * one whose side is lost in its shadow, and it takes hardly any other end for one.
 */
const tipCounts = 10;

/** One way round of the lane with what its photos show. */
interface Way {
  lane: Lane;
  edges: (LaneEdges | undefined)[];
  shown: ({ from: number; to: number } | undefined)[];
}

const wayOf = (lane: Lane, edges: PerPhoto<LaneEdges | undefined>): Way => ({
  lane,
  edges: [...edges],
  shown: edges.map((own) => own && stretchOf(own)),
});

function stretchOf({ stations }: LaneEdges): { from: number; to: number } | undefined {
  let stretch: { from: number; to: number } | undefined;
  for (const { t } of stations) stretch = { from: stretch?.from ?? t, to: t };
  return stretch;
}

/**
 * What lies in the lane, whether something else takes a blank's beginning for its tip, and what keeps the edges as they
 * are met from the other end; memory when absent.
 */
export interface ExpectedInLane {
  blank: Blank;
  rest: Rest;
  isTip?: (end: AxisStation) => boolean;
  /** how well outlines are believed, pixels; as of several photos when absent */
  edgeSigma?: number | undefined;
  hold?: HoldParts | undefined;
}

/**
 * Where the blank lies among all photos' edges: ways along the lane in both directions, each fitted roughly as if it
 * were the blank; the one whose pairs of edges fit a blank's widths and look best. Undefined where nothing does.
 */
export function chooseBlank(
  edges: PerPhoto<LaneEdges | undefined>,
  cameras: PerPhoto<Camera | undefined>,
  lane: Lane,
  { blank, rest, isTip = () => false, edgeSigma = outlineSigma.together, hold }: ExpectedInLane,
  paperHeight: PaperHeight,
): ChosenBlank | undefined {
  const ways = [
    wayOf(lane, edges),
    wayOf(
      reverseLane(lane),
      // folded anew, for each draft goes over all of them several times
      edges.map((own) => own && foldEdges(reverseEdges(own), hold)),
    ),
  ];
  // What was found before the fit counts too: it weighs how clear the edges are, the fit how well they go together.
  // Which way round the blank lies the fit tells, by the taper, and the look of its tip.
  const best = ways.flatMap((way) => {
    const expected = expectedOn(way, cameras, blank, rest);
    if (!expected) return [];
    const drafts = [...searchBlank(way.edges, cameras, way.lane, expected)].flatMap((path) => {
      const one = draftOf(way, path, cameras, blank, (start) => {
        const problem = blankProblem(way.lane, start, blank, rest, paperHeight);
        const sighted = sightedSides(problem, way.edges, cameras, expected, path.side);
        return { ...problem, edgeSigma, priors: [...problem.priors, ...sighted] };
      });
      return one ? [{ ...one, merit: one.worth * Math.sqrt(path.support) }] : [];
    });
    return drafts.sort((a, b) => b.merit - a.merit).slice(0, 1);
  });
  if (best.length < 2) return best[0];
  const counted = best.map((one) => ({ one, worth: isTip(endOf(one.problem)) ? tipCounts * one.worth : one.worth }));
  return counted.sort((a, b) => b.worth - a.worth)[0]?.one;
}

/** What to look for, the tip standing where anything of a blank's width begins. */
function expectedOn(way: Way, cameras: PerPhoto<Camera | undefined>, blank: Blank, rest: Rest): Expected | undefined {
  const middle = (blank.tipDiameter + blank.buttDiameter) / 2;
  const height = restingHeight(blank, rest, 0)(blank.length / 2);
  const [rough] = searchBlank(way.edges, cameras, way.lane, {
    width: () => middle,
    latitude: latitude.unknown,
    height: () => height,
    finish: blank.finish,
  });
  const end = rough && tipEnd(rough.crossings, way.shown);
  return (
    end && {
      width: (t) => plannedWidth(blank, t - end.t),
      latitude: latitude.known,
      height: restingHeight(blank, rest, end.t),
      finish: blank.finish,
    }
  );
}

function draftOf(
  way: Way,
  path: BlankPath,
  cameras: PerPhoto<Camera | undefined>,
  blank: Blank,
  problemOf: (start: BlankStart) => BlankProblem,
): (ChosenBlank & { worth: number }) | undefined {
  const tip = tipEnd(path.crossings, way.shown);
  if (!tip) return undefined;
  const start = {
    tip: tip.t,
    tipSeen: tip.seen,
    grip: gripFrom(path.crossings, way.shown, blank, tip.t),
    side: path.side,
  };
  let problem = problemOf(start);
  let fit: OutlineFit | undefined;
  for (const round of draft) {
    fit = fitOutline(problem, way.edges, cameras, blank.finish, round);
    problem = { ...problem, values: fit.values };
  }
  const worth = fit?.matches.reduce((sum, own) => sum + own.worth, 0) ?? 0;
  return { problem, edges: way.edges, tipSeen: start.tipSeen, worth: path.freed ? freedCounts * worth : worth };
}
