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
