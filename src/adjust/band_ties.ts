import {
  type BandSeen,
  bandsAlone,
  type BandSlide,
  type BandTies,
  groupBands,
  type HintedSlide,
  solveBands,
  type SolvedBands,
  type Supposed,
  ties,
  type ViewsKnown,
} from './band_problem.ts';
import type { PerView, ViewIndex } from '../vision/strip.ts';

/** How slides are looked for, before the bands are solved for each. */
const voting = {
  /** bands this near one another have one vote, mm: edges of one mark or tape must not outvote two marks */
  oneVote: 3,
  /** bands that must vote alike, and slides that go on to be solved, none among them: each costs an adjustment */
  least: 2,
  most: 5,
  /**
   * photos to either side of a slide that are asked about it: farther ones show other bands, and shorter walks whole
   */
  asked: 12,
} as const;
const { asked } = voting;

/**
 * How many bands' differences lie within the tolerance of each one, bands near one another counted once: in order of
 * the differences a window goes over them, so that long walks cost little more than short ones.
 */
export function votesFor(differences: readonly { band: number; d: number }[]): Int32Array {
  const votes = new Int32Array(differences.length);
  const order = Array.from(differences.keys()).sort((a, b) => differences[a]!.d - differences[b]!.d);
  const seen = new Map<number, number>();
  const bandOf = (place: number) => Math.round(differences[order[place]!]!.band / voting.oneVote);
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
    if (
      own >= voting.least &&
      chosen.length < voting.most &&
      chosen.every((other) => Math.abs(other - d) > ties.sameBand)
    )
      chosen.push(d);
  return chosen;
}

/**
 * How likely as many bands would agree on some slide up to this one by chance: each of those in question meets another
 * within the tolerance as often as bands stand along the blank (binomial), for every shift that might have been tried.
 */
function chanceOf({ along, bands, alone }: BandSlide, seen: number, length: number): number {
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

/** The photos around a possible slide, counted from the first of them on, with the slides already supposed there. */
interface Neighbours {
  first: ViewIndex;
  bands: readonly BandSeen[];
  known: ViewsKnown;
  supposed: readonly Supposed[];
}

function neighboursOf(
  bands: readonly (readonly BandSeen[])[],
  known: ViewsKnown,
  supposed: readonly Supposed[],
  from: ViewIndex,
): Neighbours {
  const first = Math.max(from - asked, 0);
  const end = Math.min(from + asked, bands.length);
  const within = <T>(list: PerView<T>): T[] => list.filter((_, view) => view >= first && view < end);
  const covers = within(known.covers);
  const shown = covers.flatMap((cover) => cover ?? []);
  // A slide before the first of them moved all of them alike.
  const inside = supposed.filter((slide) => slide.from > first && slide.from < end);
  return {
    first,
    bands: bands.slice(first, end).flatMap((own, i) => own.map((band) => ({ ...band, view: i }))),
    known: {
      ...known,
      drift: within(known.drift),
      covers,
      length:
        shown.length === 0
          ? known.length
          : Math.max(...shown.map(({ to }) => to)) - Math.min(...shown.map((cover) => cover.from)),
    },
    supposed: inside.map((slide) => ({ ...slide, from: slide.from - first })),
  };
}

/** A slide from one view on that its neighbours bear out: how much it explains, its solution, how likely by chance. */
interface SlideStep {
  about: number;
  gain: number;
  solved: SolvedBands;
  chance: number;
}

/** The likeliest slide from one view on that explains enough, and is no likelier by mere chance than `most`. */
function slideFrom(
  { first, bands, known, supposed }: Neighbours,
  before: SolvedBands,
  from: ViewIndex,
  most: number,
): SlideStep | undefined {
  const view = from - first;
  const alone = bandsAlone(groupBands(bands, supposed), supposed, view, known);
  const without = before.cost + ties.unmatched * alone;
  let best: SlideStep | undefined;
  for (const about of votedSlides(bands, view)) {
    const solved = solveBands(bands, known, [...supposed, { from: view, about }]);
    const slide = solved.slides.at(-1)!;
    const sure = Math.abs(slide.along.value) > Math.max(ties.least, ties.sure * slide.along.u);
    const gain = without - solved.cost;
    const chance = chanceOf(slide, bands.length, known.length);
    const borneOut = slide.bands >= ties.bands && chance < most;
    const step = { about, gain, solved, chance };
    if (sure && borneOut && gain > ties.gain && (!best || isBetter(step, best))) best = step;
  }
  return best;
}

/** What no chance explains goes before what explains more. */
function isBetter(a: SlideStep, b: SlideStep): boolean {
  const [tells, told] = [a, b].map(({ chance }) => chance < ties.chance);
  return tells === told ? a.gain > b.gain : tells!;
}

/**
 * Joins the bands of all photos: what the axis's height must be for them to agree, and whether the rod slid between
 * photos. Every photo may be off along as a whole by its drift (waves in the paper, lens, pose) and the axis by its
 * height; a slide is said only where one shift of all later photos beats both, borne out by two bands or more on either
 * side. Of a long walk the nearest photos are asked, so that its cost grows with its length alone.
 */
export function tieBands(bands: readonly BandSeen[], known: ViewsKnown): BandTies {
  const perView = known.drift.map((): BandSeen[] => []);
  for (const band of bands) perView[band.view]!.push(band);
  const short = perView.length <= asked + 1;
  let best = solveBands(bands, known, []);
  const steps = (most: number) => {
    const taken = new Set(best.supposed.map(({ from }) => from));
    return perView.flatMap((_, from): (SlideStep & { from: ViewIndex })[] => {
      if (from === 0 || taken.has(from)) return [];
      const near = short
        ? { first: 0, bands, known, supposed: best.supposed }
        : neighboursOf(perView, known, best.supposed, from);
      const before = short ? best : solveBands(near.bands, near.known, near.supposed);
      const slide = slideFrom(near, before, from, most);
      return slide ? [{ from, ...slide }] : [];
    });
  };
  let hinted: HintedSlide[] = [];
  while (best.supposed.length < ties.most) {
    const possible = steps(best.supposed.length === 0 ? ties.hint : ties.chance).sort((a, b) => b.gain - a.gain);
    const step = possible.find(({ chance }) => chance < ties.chance);
    if (!step && best.supposed.length === 0)
      hinted = possible.map(({ from, solved, chance }) => ({ ...solved.slides.at(-1)!, from, chance }));
    if (!step) break;
    const { from, about, solved } = step;
    best = short ? solved : solveBands(bands, known, [...best.supposed, { from, about }]);
  }
  return { slides: best.slides, hinted, heights: best.heights };
}
