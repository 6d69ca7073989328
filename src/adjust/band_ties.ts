import {
  type BandSeen,
  bandsAlone,
  type BandTies,
  groupBands,
  type Slide,
  solveBands,
  type SolvedBands,
  ties,
  type ViewsKnown,
} from './band_problem.ts';

/** Slides from view `from` on that at least two bands' differences vote for alike, mm. */
function votedSlides(bands: readonly BandSeen[], from: number): number[] {
  const before = bands.filter((band) => band.view < from);
  const after = bands.filter((band) => band.view >= from);
  const differences = before
    .flatMap((a) => after.map((b) => ({ band: a.along, d: b.along - a.along })))
    .filter(({ d }) => Math.abs(d) < ties.greatest);
  const votes = (d: number) =>
    new Set(differences.filter((o) => Math.abs(o.d - d) < ties.alike).map((o) => Math.round(o.band / 3))).size;
  const ranked = differences.map(({ d }) => ({ d, votes: votes(d) })).sort((a, b) => b.votes - a.votes);
  const chosen: number[] = [0];
  for (const { d, votes: own } of ranked)
    if (own >= 2 && chosen.length < 5 && chosen.every((other) => Math.abs(other - d) > ties.sameBand)) chosen.push(d);
  return chosen;
}

/**
 * How likely as many bands would agree on some slide up to this one by chance: each of those in question meets another
 * within the tolerance as often as bands stand along the blank (binomial), for every shift that might have been tried.
 */
function chanceOf({ along, bands, alone }: Slide, seen: number, length: number): number {
  const p = Math.min(0.5, (2 * ties.alike * seen) / length);
  const count = bands + alone;
  let term = (1 - p) ** count;
  let below = 0;
  for (let k = 0; k < bands; k++) {
    below += term;
    term *= ((count - k) / (k + 1)) * (p / (1 - p));
  }
  return Math.max(1 - below, 0) * (1 + (2 * Math.abs(along.value)) / ties.alike);
}

/**
 * Joins the bands of all photos: what the axis's height must be for them to agree, and whether the rod slid between
 * photos. Every photo may be off along as a whole by its drift (waves in the paper, lens, pose) and the axis by its
 * height; a slide is said only where one shift of all later photos beats both, borne out by two bands or more on either
 * side.
 */
export function tieBands(bands: readonly BandSeen[], known: ViewsKnown): BandTies {
  const views = known.drift.length;
  let best = solveBands(bands, known, []);
  while (best.supposed.length < ties.most) {
    const taken = new Set(best.supposed.map(({ from }) => from));
    let step: { solved: SolvedBands; gain: number } | undefined;
    for (let from = 1; from < views; from++) {
      if (taken.has(from)) continue;
      const alone = bandsAlone(groupBands(bands, best.supposed), best.supposed, from, known);
      const without = best.cost + ties.unmatched * alone;
      for (const about of votedSlides(bands, from)) {
        const solved = solveBands(bands, known, [...best.supposed, { from, about }]);
        const slide = solved.slides.at(-1)!;
        const sure = Math.abs(slide.along.value) > Math.max(ties.least, ties.sure * slide.along.u);
        const gain = without - solved.cost;
        const borneOut = slide.bands >= ties.bands && chanceOf(slide, bands.length, known.length) < ties.chance;
        if (sure && borneOut && gain > ties.gain && (!step || gain > step.gain)) step = { solved, gain };
      }
    }
    if (!step) break;
    best = step.solved;
  }
  return { slides: best.slides, heights: best.heights };
}
