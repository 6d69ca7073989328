import { blankSolution, fitWithTip } from '../../src/adjust/blank_adjustment.ts';
import { matDoubt, tipEnd } from '../../src/adjust/propagation.ts';
import type { FittedRing } from '../../src/adjust/fitted_ring.ts';
import { besideAxis, crossSection } from '../../src/geometry/blank_axis.ts';
import { covarianceOf } from '../../src/numerics/covariance.ts';
import { ringUnknowns } from '../../src/adjust/ring_state.ts';
import { emptyPhoto } from '../../src/photo/luma.ts';
import type { Measuring } from '../../src/check/measuring.ts';
import { blankByMat } from '../../src/adjust/blank_by_mat.ts';
import { blank, edges, mat, problem } from './read_outlines.ts';

const solved = fitWithTip(problem, mat.cameras, edges);

/** Everything a check has measured of the rod of `read_outlines.ts` beside its guides; its photos hold no pixels. */
export const measuring: Measuring = (() => {
  const solution = blankSolution(mat.cameras, blank.length, { problem: solved, ...edges, astray: 0 }, undefined);
  const list = mat.cameras.map((camera, i) => ({
    photo: { ...emptyPhoto(`${i + 1}.jpg`, 2, 2), width: 4032, height: 3024 },
    camera: camera!,
  }));
  return {
    mat,
    blank: solution,
    doubt: matDoubt(mat, tipEnd(solution))!,
    blankBy: blankByMat(mat, solution, true),
    scale: 2e-4,
    views: { list, photo: list.map((_, i) => i) },
    start: 0,
    slides: [],
  };
})();

/** A ring as its rims would have it, `roll` degrees about the axis, its centre `away` mm from it, read to `u` mm. */
export function ringAt(along: number, roll: number, away: number, u = 0.05): FittedRing {
  const turn = (roll * Math.PI) / 180;
  const [right, up] = [away * Math.sin(turn), away * Math.cos(turn)];
  const centre = besideAxis(crossSection(measuring.blank.axis, along), right, up);
  const names = [...ringUnknowns, 'ringOuter'] as const;
  return {
    along,
    right,
    up,
    roll,
    centre,
    ringOuter: 8,
    views: [1, 2],
    rims: [1, 2].map((view) => ({
      view,
      polylines: [
        [
          [10, 10],
          [20, 20],
        ],
      ],
    })),
    edges: 40,
    covariance: covarianceOf(names, (a, b) => (a === b ? u * u : 0)),
  } as unknown as FittedRing;
}
