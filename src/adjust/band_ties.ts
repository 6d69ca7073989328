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

/**
 * How many bands' differences lie within the tolerance of each one, bands within 3 mm counted once: in order of the
 * differences a window goes over them, so that long walks cost little more than short ones.
 */
export function votesFor(differences: readonly { band: number; d: number }[]): Int32Array {
  const votes = new Int32Array(differences.length);
  const order = Array.from(differences.keys()).sort((a, b) => differences[a]!.d - differences[b]!.d);
  const seen = new Map<number, number>();
  const bandOf = (place: number) => Math.round(differences[order[place]!]!.band / 3);
  let from = 0;
  let to = 0;
  for (const i of order) {
    const { d } = differences[i]!;
    for (; to < order.length && differences[order[to]!]!.d - d < ties.alike; to++)
      seen.set(bandOf(to), (seen.get(bandOf(to)) ?? 0) + 1);
    for (; d - differences[order[from]!]!.d >= ties.alike; from++) {
      const left = seen.get(bandOf(from))! - 1;
      if (left > 0) seen.set(bandOf(from), left);
      else seen.delete(bandOf(from));
    }
    votes[i] = seen.size;
  }
  return votes;
}

/** Slides from view `from` on that at least two bands' differences vote for alike, mm. */
function votedSlides(bands: readonly BandSeen[], from: number): number[] {
  const before = bands.filter((band) => band.view < from);
  const after = bands.filter((band) => band.view >= from);
  const differences = before
    .flatMap((a) => after.map((b) => ({ band: a.along, d: b.along - a.along })))
    .filter(({ d }) => Math.abs(d) < ties.greatest);
  const votes = votesFor(differences);
  const ranked = differences.map(({ d }, i) => ({ d, votes: votes[i]! })).sort((a, b) => b.votes - a.votes);
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
