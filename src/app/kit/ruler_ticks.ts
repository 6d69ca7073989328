import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import { millimetresPerInch } from '../../plan/lengths/units.ts';

/** One line of the ruler: where (mm), and whether it is a long one with its length written. */
export interface RulerTick {
  at: number;
  long: boolean;
}

const steps: Record<LengthDisplay, readonly (readonly [short: number, long: number])[]> = {
  mm: [
    [1, 10],
    [5, 10],
    [5, 50],
    [10, 50],
    [10, 100],
    [50, 200],
    [100, 500],
    [500, 1000],
  ],
  in: [0.1, 0.5, 1, 5, 10].map((inch, i, all) => [inch * millimetresPerInch, (all[i + 1] ?? 50) * millimetresPerInch]),
  'in-fraction': (
    [
      [1 / 32, 1 / 4],
      [1 / 16, 1 / 2],
      [1 / 8, 1],
      [1 / 4, 2],
      [1, 6],
      [2, 12],
      [6, 24],
      [12, 48],
    ] as const
  ).map(([short, long]) => [short * millimetresPerInch, long * millimetresPerInch] as const),
};

/** The ruler's lines in a view (mm) `pixels` wide: no two closer than 5 px, written lengths no closer than 56 px. */
export function rulerTicks(view: { from: number; to: number }, pixels: number, display: LengthDisplay): RulerTick[] {
  const perMm = pixels / (view.to - view.from);
  const [short, long] = steps[display].find(([a, b]) => a * perMm >= 5 && b * perMm >= 56) ?? steps[display].at(-1)!;
  const every = Math.round(long / short);
  const ticks: RulerTick[] = [];
  for (let i = Math.ceil(view.from / short - 1e-9); i * short <= view.to + 1e-9; i++)
    ticks.push({ at: i * short, long: i % every === 0 });
  return ticks;
}
