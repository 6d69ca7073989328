import { type Solution, solveLeastSquares } from '../numerics/least_squares.ts';
import type { MatReadings } from '../plan/shoot.ts';
import { cardStart } from './card_start.ts';
import { allBlocks, cardTagsOf, type MatProblem, poseMat, type TaggedPhoto, withCard } from './mat_problem.ts';
import { camerasAt, type MatSolution, summarise } from './mat_summary.ts';

/**
 * Cameras, tiles, print scale and seat card from the tag corners and the builder's readings, in one least-squares
 * adjustment; the frame is that of the lowest-numbered tile (held fixed), z up. Undefined when no photo shows two tags of
 * one tile.
 */
export function adjustMat(photos: readonly TaggedPhoto[], readings: MatReadings): MatSolution | undefined {
  let problem = poseMat(photos, readings);
  if (!problem) return undefined;
  let solution = solve(problem);
  // The seat card joins once the cameras stand, so its start is good.
  const cardTags = cardTagsOf(photos, problem.index);
  if (cardTags.length > 0) {
    const cameras = camerasAt(solution.values, problem.index);
    const start = cardStart(cardTags.map(({ photo, tag }) => ({ tag, camera: cameras[photo]! })));
    if (start) {
      problem = withCard(problem, solution.values, start, cardTags);
      solution = solve(problem);
    }
  }
  return summarise(problem, solution);
}

const solve = (problem: MatProblem): Solution =>
  solveLeastSquares(allBlocks(problem), problem.parameters.values(), {
    constant: problem.parameters.constant,
    maximumIterations: 60,
  });
