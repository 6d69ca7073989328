import { tagPlace } from '../mat/tile.ts';
import { jointCovariance } from '../numerics/joint_covariance.ts';
import { solveLeastSquares } from '../numerics/least_squares.ts';
import type { MatReadings } from '../plan/shoot.ts';
import { cardStart } from './card_start.ts';
import type { LensProfile } from './lens_profile.ts';
import type { TaggedPhoto } from './mat_cameras.ts';
import type { MatProfile } from './mat_profile.ts';
import type { KeptPages } from './kept_pages.ts';
import { hasSign } from './photo_sign.ts';
import { pagesStanding } from './pages_standing.ts';
import { changeOfLevels, nextLevels } from './mat_levels.ts';
import {
  allBlocks,
  blocksAt,
  cardTagsOf,
  type Levels,
  type MatProblem,
  ownUnknowns,
  poseMat,
  withCard,
  withPageApart,
} from './mat_problem.ts';
import { camerasAt, cornerMisses, type MatSolution, type Settled, summarise } from './mat_summary.ts';
import { type PageShift, pageShifts } from './moved_pages.ts';
import { contradictionOf } from './unfit_lens.ts';

/**
 * How often the levels are told anew from the residuals, and the change (share of themselves) that no longer matters.
 */
const rounds = { most: 5, settled: 0.05 };

/** How each solution is sought. */
const seeking = {
  /** steps at most: a walk takes a dozen, photos far from their start some more */
  mostSteps: 60,
  /** half the squares a step must promise: every unknown within a hundredth of its deviation is as good as there */
  leastGain: 1e-4,
  /** damping of the first step from flat paper's solution, near which the minimum lies */
  damping: 1e-9,
} as const;
const { leastGain } = seeking;

/**
 * A page has moved where a place of its own in one photo lies `least` mm off the common one and explains the corners so
 * much better that what is left of their misses is under `remains` of what it was: paper and lens, free to bend, could
 * not. Shifts under `suspected` (mm, first order) are not looked into, nor more of them than `tried`, largest first,
 * nor any where corners fit to `sharp` pixels.
 */
const move = { sharp: 0.12, suspected: 0.3, tried: 4, least: 0.5, remains: 0.8 };

/**
 * Cameras, tiles, the paper's shape, the lens's field, print scale and seat card from the tag corners and the builder's
 * readings, in one least-squares adjustment; the frame is that of the lowest-numbered tile (its place held fixed), z up
 * from the mean plane of the tags. First with flat paper and Brown's lens, then with both as they are, each as large as
 * the residuals bear out. What is kept of a lens joins in, unless the photos contradict it, and what is kept of the mat
 * (in place of the readings, on which it rests) but for pages that moved since. Undefined when no photo shows two tags
 * of one tile.
 */
export function adjustMat(
  photos: readonly TaggedPhoto[],
  readings: MatReadings,
  kept?: MatProfile,
): MatSolution | undefined {
  if (!kept) return solveMat(photos, readings);
  if (photos.some(({ tags }) => kept.signs?.some((sign) => hasSign(tags, sign)))) {
    const plain = solveMat(photos, readings);
    return plain && { ...plain, keptMat: { profile: kept, pages: [], moved: [], fromThese: true } };
  }
  // By the print's size alone first: it tells which pages lie where they lay.
  const free = solveMat(photos, {}, { profile: kept, pages: [] });
  const standing = free && pagesStanding(kept, free);
  if (!standing || standing.pages.length === 0) {
    const plain = solveMat(photos, readings);
    return plain && { ...plain, keptMat: { profile: kept, pages: [], moved: [] } };
  }
  const solved = solveMat(photos, readings, { profile: kept, pages: standing.pages });
  return solved && { ...solved, keptMat: { profile: kept, ...standing } };
}

function solveMat(photos: readonly TaggedPhoto[], readings: MatReadings, kept?: KeptPages): MatSolution | undefined {
  const posed = poseMat(photos, readings, kept);
  if (!posed) return undefined;
  const flat = settleFlat(posed);
  const settled = settle(withCardSeen(posed, flat.values), flat.levels);
  const unfit = unfitLenses(settled);
  if (unfit.length > 0) {
    const plain = photos.map(({ lens, ...photo }) => (lens && !unfit.includes(lens) ? { ...photo, lens } : photo));
    const again = solveMat(plain, readings, kept);
    return again && { ...again, unfitLenses: [...unfit, ...again.unfitLenses] };
  }
  const shifts = settled.levels.corner > move.sharp ? [...flat.shifts, ...shiftsOf(settled)] : [];
  const suspects = shifts.filter(({ byMm, tile }) => byMm > move.suspected && hasOtherPlace(tile, photos, kept));
  return summarise(settled, pageMoved(settled, suspects));
}

/** Whether a page has a place to have moved from: in another photo, or kept. */
const hasOtherPlace = (tile: number, photos: readonly TaggedPhoto[], kept?: KeptPages): boolean =>
  kept?.pages.includes(tile) ||
  photos.filter(({ tags }) => tags.some(({ id }) => tagPlace(id)?.tile === tile)).length > 1;

/**
 * Flat paper, Brown's lens: cameras and tiles to start from, and the pages that seem to lie elsewhere in some photo.
 */
function settleFlat(problem: MatProblem): { values: Float64Array; levels: Levels; shifts: PageShift[] } {
  const levels = problem.believed;
  const blocks = blocksAt(problem, levels, true);
  const constant = new Set([...problem.held, ...problem.shape]);
  const groups = ownUnknowns(problem);
  const { values } = solveLeastSquares(allBlocks(blocks), problem.start, {
    constant,
    groups,
    maximumIterations: seeking.mostSteps,
    leastGain,
  });
  const covariance = jointCovariance(allBlocks(blocks), values, { constant, groups });
  const { cornerSigma } = cornerMisses(blocks, values, levels, problem.photos.length);
  return {
    values,
    levels: { ...levels, corner: Math.max(cornerSigma, levels.corner / 2) },
    shifts: covariance ? pageShifts(blocks.tags, problem.index.tiles, values, covariance) : [],
  };
}

/** The problem from these values on, the seat card joined: the cameras stand, so its start is good. */
function withCardSeen(problem: MatProblem, values: Float64Array): MatProblem {
  const seen = cardTagsOf(problem);
  const cameras = camerasAt(values, problem.index);
  const start = cardStart(seen.map(({ photo, tag }) => ({ tag, camera: cameras[photo]! })));
  return start ? withCard(problem, values, start) : { ...problem, start: values };
}

/** Solves, tells the levels anew from what is left, and again until they stand. */
function settle(problem: MatProblem, start: Levels): Settled {
  let levels = start;
  let values = problem.start;
  const sorting = { constant: problem.held, groups: ownUnknowns(problem) };
  for (let round = 1; ; round++) {
    const blocks = blocksAt(problem, levels);
    const all = allBlocks(blocks);
    const solution = solveLeastSquares(all, values, {
      ...sorting,
      maximumIterations: seeking.mostSteps,
      leastGain,
      damping: seeking.damping,
    });
    values = solution.values;
    const covariance = jointCovariance(all, values, sorting);
    const next = covariance && nextLevels(blocks, levels, { values, covariance }, problem.believed);
    if (!next || round === rounds.most || changeOfLevels(levels, next) < rounds.settled)
      return { problem, blocks, levels, solution, covariance };
    levels = next;
  }
}

/**
 * Photos contradict a kept lens where they lie so much farther from it, in squares, than both doubts let one expect: of
 * drawn walks with their own lens none exceeded 3.2 (waves pass for lens), with another of the same make from 0.5
 * pixels on nearly all do.
 */
const unfitFrom = 3.5;

function unfitLenses({ problem, solution, covariance }: Settled): LensProfile[] {
  if (!covariance) return [];
  return problem.lenses.flatMap(({ kept }) => {
    if (!kept) return [];
    const { squares, mean, sigma } = contradictionOf(kept.block, solution.values, covariance);
    // Where photos tell next to nothing of a lens, chance alone exceeds any ratio.
    return squares > unfitFrom * mean && squares - mean > 4 * sigma ? [kept.profile] : [];
  });
}

const shiftsOf = ({ problem, blocks, solution, covariance }: Settled): PageShift[] =>
  covariance ? pageShifts(blocks.tags, problem.index.tiles, solution.values, covariance) : [];

/** The page and photo whose own place explains the corners best, if it plainly moved. */
function pageMoved({ problem, levels, solution }: Settled, suspects: readonly PageShift[]): PageShift | undefined {
  const tried: { shift: PageShift; corner: number }[] = [];
  for (const { photo, tile } of suspects.toSorted((a, b) => b.byMm - a.byMm)) {
    if (tried.length === move.tried) break;
    if (tried.some(({ shift }) => shift.photo === photo && shift.tile === tile)) continue;
    const freed = settle(withPageApart(problem, solution.values, photo, tile), levels);
    const own = freed.problem.apart!.place;
    const common = problem.index.tiles.get(tile)!.place;
    const { values } = freed.solution;
    const byMm = Math.hypot(values[own]! - values[common]!, values[own + 1]! - values[common + 1]!);
    tried.push({ shift: { photo, tile, byMm }, corner: freed.levels.corner });
  }
  const best = tried.toSorted((a, b) => a.corner - b.corner)[0];
  return best && best.shift.byMm > move.least && best.corner < move.remains * levels.corner ? best.shift : undefined;
}
