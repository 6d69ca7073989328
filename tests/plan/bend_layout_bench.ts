import { layOutByBend } from '../../src/plan/bend/bend_layout.ts';
import { layoutCase } from './bent_rod_cases.ts';

/** Milliseconds for a layout of 12 guides on 200 nodes: the first run, and the middle of the runs after it. */
export function benchBendLayout(runs = 20): { first: number; middle: number } {
  const times = Array.from({ length: runs + 1 }, () => {
    const start = performance.now();
    layOutByBend(layoutCase(12, { first: 90 }), 200);
    return performance.now() - start;
  });
  const [first, ...rest] = times;
  return { first: first!, middle: rest.toSorted((a, b) => a - b)[Math.floor(rest.length / 2)]! };
}
