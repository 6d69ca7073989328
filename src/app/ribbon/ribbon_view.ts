import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import { millimetresPerInch } from '../../plan/lengths/units.ts';

/** The stretch of the rod that shows, mm from the tip. */
export interface RibbonView {
  from: number;
  to: number;
}

/** The closest the ribbon zooms in, mm across its width. */
const narrowest = 20;

/** A view brought within the rod's limits, keeping its width where it fits. */
export function within(view: RibbonView, limits: RibbonView): RibbonView {
  const width = Math.min(Math.max(view.to - view.from, narrowest), limits.to - limits.from);
  const middle = (view.from + view.to) / 2;
  const from = Math.min(Math.max(middle - width / 2, limits.from), limits.to - width);
  return { from, to: from + width };
}

/** Zooms by `factor` (above 1 is closer) so that the place `at` (mm) stays where it is on the screen. */
export function zoomed(view: RibbonView, factor: number, at: number, limits: RibbonView): RibbonView {
  const widest = limits.to - limits.from;
  const width = Math.min(Math.max((view.to - view.from) / factor, narrowest), widest);
  const share = (at - view.from) / (view.to - view.from);
  return within({ from: at - share * width, to: at + (1 - share) * width }, limits);
}

export const panned = (view: RibbonView, mm: number, limits: RibbonView): RibbonView =>
  within({ from: view.from + mm, to: view.to + mm }, limits);

/** The view moved just far enough to show a place with room around it. */
export function showing(view: RibbonView, at: number, limits: RibbonView): RibbonView {
  const room = (view.to - view.from) * 0.1;
  if (at >= view.from + room && at <= view.to - room) return view;
  return panned(view, at - (view.from + view.to) / 2, limits);
}

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

/** The ruler's lines in a view `pixels` wide: no two closer than 5 px, written lengths no closer than 56 px. */
export function rulerTicks(view: RibbonView, pixels: number, display: LengthDisplay): RulerTick[] {
  const perMm = pixels / (view.to - view.from);
  const [short, long] = steps[display].find(([a, b]) => a * perMm >= 5 && b * perMm >= 56) ?? steps[display].at(-1)!;
  const every = Math.round(long / short);
  const ticks: RulerTick[] = [];
  for (let i = Math.ceil(view.from / short - 1e-9); i * short <= view.to + 1e-9; i++)
    ticks.push({ at: i * short, long: i % every === 0 });
  return ticks;
}

/**
 * Rows for labels so that none overlap: each gets the first row that is free at its place, -1 where none is. Labels are
 * given by their middles and widths, in order from left to right.
 */
export function labelRows(labels: readonly { x: number; width: number }[], rows: number): number[] {
  const ends = Array.from({ length: rows }, () => -Infinity);
  return labels.map(({ x, width }) => {
    const row = ends.findIndex((end) => x - width / 2 >= end);
    if (row >= 0) ends[row] = x + width / 2 + 4;
    return row;
  });
}
