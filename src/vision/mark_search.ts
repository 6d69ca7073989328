import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { type BoxFit, fitBox } from './box_profile.ts';
import { median, quantile, robustSigma } from './robust.ts';
import { acrossPlaces, type Stretch, type Strip, straighten, type View, visibleStretch } from './strip.ts';
import { applySymmetric, boxAverage, type Colour, prominence, type StripRelief, stripRelief } from './strip_relief.ts';

/** A mark as one photo shows it: edges as arc lengths on the blank's surface, mm. */
export interface MarkSighting {
  /** index of the view */
  view: number;
  tipEdge: number;
  buttEdge: number;
  /** standard uncertainty of the edges' mean and of each edge from this photo's pixels */
  centreU: number;
  edgeU: number;
  /** the same from the band's own raggedness, which other photos of the same side share */
  raggedCentreU: number;
  raggedEdgeU: number;
  /** how far the band stands out of the blank's texture, standard deviations */
  score: number;
  /** share of the visible width on which the band shows, 0..1 */
  coverage: number;
  /** roll angles (degrees, as in `rollDirection`) between which it shows in this photo */
  rolls: [number, number];
  /** the band's own luma, Cb, Cr; of the blank beside it; and of the blank at large here */
  colour: Colour;
  ground: Colour;
  typical: Colour;
  /** how much the ground next to the band differs from the blank at large, against the band's contrast: 0 = clean */
  clutter: number;
  /** photo pixels per mm along the blank here */
  pixelsPerMm: number;
  /** mm the place moves along for each mm the blank's axis is really nearer to the camera */
  parallax: number;
}

export interface MarkSearchResult {
  sightings: MarkSighting[];
  /** per view: the stretch that was searched, if the photo shows any */
  searched: (Stretch | undefined)[];
}

const ROWS = 21;
/** Beyond this share of the radius the outline's blur brings in what lies behind the blank. */
const LIMIT = 0.85;
/** A band must stand out by this many standard deviations of the blank's own texture (scaled by its tails). */
const PROMINENT = 7;
/** Widths of a china marker's band, with room for a thin or a pressed one: 1 to 3 mm is common practice, no source. */
const NARROWEST = 0.35;
const WIDEST = 4.2;

interface Candidate {
  from: number;
  to: number;
  peak: number;
}

/** Columns where the discriminant stays above half its peak, walking from a peak of the score. */
function candidates(
  relief: StripRelief,
  score: Float64Array,
  inverse: number[],
  half: number,
  step: number,
): Candidate[] {
  const { first, end, profile } = relief;
  const smooth = profile.map((channel) => boxAverage(channel, Math.max(half >> 1, 1), first, end));
  const taken = new Uint8Array(score.length);
  const order: number[] = [];
  for (let c = first + 1; c < end - 1; c++) {
    if (score[c]! > PROMINENT && score[c]! >= score[c - 1]! && score[c]! > score[c + 1]!) order.push(c);
  }
  order.sort((a, b) => score[b]! - score[a]!);
  const found: Candidate[] = [];
  for (const peak of order) {
    if (taken[peak] === 1) continue;
    const direction = applySymmetric(inverse, [smooth[0]![peak]!, smooth[1]![peak]!, smooth[2]![peak]!]);
    const along = (c: number): number =>
      direction[0] * smooth[0]![c]! + direction[1] * smooth[1]![c]! + direction[2] * smooth[2]![c]!;
    const top = along(peak);
    let from = peak;
    let to = peak;
    while (from > first && along(from - 1) > top / 2 && (to - from) * step < 3 * WIDEST) from--;
    while (to < end - 1 && along(to + 1) > top / 2 && (to - from) * step < 3 * WIDEST) to++;
    // The blur round a band belongs to the band: its flanks may not come up as bands of their own.
    const skirt = half + 1;
    for (let c = Math.max(from - skirt, first); c <= Math.min(to + skirt, end - 1); c++) taken[c] = 1;
    // Sharpening leaves a halo of the other sign beside a strong band.
    const near = Math.round(1.2 / step);
    const halo = found.some((strong) => {
      const gap = Math.max(strong.from - to, from - strong.to);
      return gap < near && score[peak]! < 0.12 * score[strong.peak]!;
    });
    if (!halo) found.push({ from, to, peak });
  }
  return found.sort((a, b) => a.from - b.from);
}

/** The median colour of a block of the strip: columns [from, to], the given rows. */
function blockColour(strip: Strip, rows: readonly number[], from: number, to: number): Colour {
  const pick = (channel: Float32Array): number => {
    const values: number[] = [];
    for (const k of rows) for (let c = from; c <= to; c++) values.push(channel[k * strip.columns + c]!);
    return median(values);
  };
  return [pick(strip.luma), pick(strip.blueDifference), pick(strip.redDifference)];
}

/** The blank's median colour over 60 mm to each side, every millimetre. */
function wideColour(strip: Strip, rows: readonly number[], relief: StripRelief, column: number): Colour {
  const reach = Math.round(60 / strip.step);
  const stride = Math.max(Math.round(1 / strip.step), 1);
  const from = Math.max(column - reach, relief.first);
  const to = Math.min(column + reach, relief.end - 1);
  const pick = (channel: Float32Array): number => {
    const values: number[] = [];
    for (const k of rows) for (let c = from; c <= to; c += stride) values.push(channel[k * strip.columns + c]!);
    return median(values);
  };
  return [pick(strip.luma), pick(strip.blueDifference), pick(strip.redDifference)];
}

function longestRun(flags: readonly boolean[]): [number, number] {
  let best: [number, number] = [0, 0];
  let start = 0;
  for (let k = 0; k <= flags.length; k++) {
    if (k < flags.length && flags[k]) continue;
    if (k - start > best[1] - best[0]) best = [start, k];
    start = k + 1;
  }
  return best;
}

/** Something behind the blank shines past both outlines: strong at both sides, weak in the middle. */
function isBleed(contrast: readonly number[], margin: number): boolean {
  const usable = contrast.slice(margin, contrast.length - margin);
  const third = Math.max(Math.floor(usable.length / 4), 1);
  const left = median(usable.slice(0, third));
  const right = median(usable.slice(-third));
  const middle = median(usable.slice(third, -third));
  return middle < 0.45 * Math.min(left, right);
}

/** Fits one candidate; undefined when it is no band: too wide or thin, a speck, an oblique or broken thing. */
function measure(
  strip: Strip,
  relief: StripRelief,
  inverse: number[],
  candidate: Candidate,
  room: Stretch,
  score: number,
  radius: number,
): Omit<MarkSighting, 'view'> | undefined {
  const { columns, step, across } = strip;
  const { from, to } = candidate;
  const rough = (to - from + 1) * step;
  const ppm = strip.pixelsPerMm[candidate.peak]!;
  if (rough > WIDEST + 1.5 / ppm) return undefined;

  // One scalar picture: the channels' combination that best tells this band from this blank.
  const top = relief.profile.map((channel) => median(channel.subarray(from, to + 1))) as unknown as Colour;
  const direction = applySymmetric(inverse, top);
  const unitHeight = direction[0] * top[0] + direction[1] * top[1] + direction[2] * top[2];
  if (!(unitHeight > 0)) return undefined;
  // Lens and sensor blur luma by about 0.7 pixels; the half-size colour planes by twice that.
  const lumaShare = Math.min(Math.max((direction[0] * top[0]) / unitHeight, 0), 1);
  const blurPrior = (0.7 + 0.6 * (1 - lumaShare)) / ppm;
  const value = (k: number, c: number): number => {
    const i = k * columns + c;
    const [y, b, r] = relief.rows;
    return (direction[0] * y[i]! + direction[1] * b[i]! + direction[2] * r[i]!) / unitHeight;
  };

  // Which rows carry it.
  const inset = Math.min(Math.round(rough / (4 * step)), (to - from) >> 1);
  const contrast = across.map((_, k) => {
    let sum = 0;
    for (let c = from + inset; c <= to - inset; c++) sum += value(k, c);
    return sum / (to - from + 1 - 2 * inset);
  });
  const margin = relief.margin[candidate.peak]!;
  const usable = (k: number): boolean => k >= margin && k < across.length - margin;
  const strong = quantile(
    contrast.filter((_, k) => usable(k)),
    0.8,
  );
  if (isBleed(contrast, margin)) return undefined;
  const covered = contrast.map((v, k) => usable(k) && v > 0.4 * strong);
  const [runFrom, runTo] = longestRun(covered);
  const rowsOn = across.flatMap((_, k) => (covered[k] ? [k] : []));
  const coverage = rowsOn.length / (across.length - 2 * margin);
  const angle = (k: number): number => Math.asin(across[Math.min(Math.max(k, 0), across.length - 1)]!);
  const arc = Math.abs(angle(runTo - 1) - angle(runFrom)) * radius;
  // A speck is as round as it is long; a band goes some way round.
  if (coverage < 0.3 || (coverage < 0.8 && arc < Math.max(0.8 * rough, 0.6))) return undefined;

  const lowest = Math.max(relief.first, Math.round((room.from - strip.from) / step));
  const highest = Math.min(relief.end - 1, Math.round((room.to - strip.from) / step));
  const x: number[] = [];
  const y: number[] = [];
  for (let c = lowest; c <= highest; c++) {
    let sum = 0;
    for (const k of rowsOn) sum += value(k, c);
    x.push(strip.from + c * step);
    y.push(sum / rowsOn.length);
  }
  const start = { tip: strip.from + (from - 0.5) * step, butt: strip.from + (to + 0.5) * step };
  const height = quantile(y.slice(from - lowest, to - lowest + 1), 0.7);
  // Samples closer than a pixel and its blur repeat each other's noise.
  const repeat = Math.max(1.5 / (ppm * step), 1);
  const fit = fitBox(x, y, { ...start, blur: blurPrior, height, level: 0, slope: 0 }, blurPrior, { repeat });
  if (fit === undefined || !(fit.height > 0)) return undefined;
  const width = fit.butt - fit.tip;
  if (width < NARROWEST || width > WIDEST || fit.misfit > 0.25 || fit.blur > 0.7) return undefined;
  if (fit.tip < room.from || fit.butt > room.to) return undefined;

  const noise = {
    edge: Math.hypot(...fit.edgeU) / Math.SQRT2,
    centre: Math.sqrt(
      Math.max(fit.edgeU[0] ** 2 + fit.edgeU[1] ** 2 + 2 * fit.edgeCorrelation * fit.edgeU[0] * fit.edgeU[1], 0) / 4,
    ),
  };
  const ragged = raggedness(value, fit, rowsOn, strip, lowest, highest);
  if (ragged === undefined) return undefined;
  const floor = 0.04 / ppm;
  const beside = Math.round(1.2 / step);
  const tipColumn = Math.round((fit.tip - strip.from) / step);
  const buttColumn = Math.round((fit.butt - strip.from) / step);
  const mid = rowsOn.filter((k) => Math.abs(across[k]!) < 0.7);
  const rows = mid.length > 0 ? mid : rowsOn;
  const near = blockColour(
    strip,
    rows,
    Math.max(tipColumn - 2 * beside, relief.first),
    Math.max(tipColumn - beside, relief.first),
  );
  const far = blockColour(
    strip,
    rows,
    Math.min(buttColumn + beside, relief.end - 1),
    Math.min(buttColumn + 2 * beside, relief.end - 1),
  );
  const colour = blockColour(
    strip,
    rows,
    Math.max(tipColumn + inset, 0),
    Math.max(buttColumn - inset, tipColumn + inset),
  );
  const typical = wideColour(strip, rows, relief, candidate.peak);
  const contrastTo = (c: Colour): number => Math.hypot(c[0] - typical[0], c[1] - typical[1], c[2] - typical[2]);
  // A stretch of plain blank between two bands of tape is no band itself.
  if (Math.min(contrastTo(near), contrastTo(far)) > 1.5 * contrastTo(colour)) return undefined;
  const facing = strip.facing[candidate.peak]!;
  const degrees = (k: number): number => facing + (angle(k) * 180) / Math.PI;
  return {
    tipEdge: fit.tip,
    buttEdge: fit.butt,
    centreU: Math.hypot(noise.centre, floor),
    edgeU: Math.hypot(noise.edge, 0.1 / ppm),
    raggedCentreU: ragged.centre,
    raggedEdgeU: ragged.edge,
    score,
    coverage,
    rolls: [degrees(runFrom), degrees(runTo - 1)],
    colour,
    ground: [(near[0] + far[0]) / 2, (near[1] + far[1]) / 2, (near[2] + far[2]) / 2],
    typical,
    clutter: Math.max(contrastTo(near), contrastTo(far)) / Math.max(contrastTo(colour), 1),
    pixelsPerMm: ppm,
    parallax: strip.parallax[candidate.peak]!,
  };
}

/**
 * What the raggedness of the edges does to their mean, from five groups of rows: standard deviation of the groups'
 * centres and edges over the square root of their number. Undefined when the thing runs obliquely or its pieces do not
 * line up, as letters, scratches and a spiral's turns don't.
 */
function raggedness(
  value: (k: number, c: number) => number,
  fit: BoxFit,
  rowsOn: readonly number[],
  strip: Strip,
  lowest: number,
  highest: number,
): { centre: number; edge: number } | undefined {
  const groups = Math.min(5, rowsOn.length);
  const width = fit.butt - fit.tip;
  const a = Math.max(lowest, Math.round((fit.tip - 1.2 - strip.from) / strip.step));
  const b = Math.min(highest, Math.round((fit.butt + 1.2 - strip.from) / strip.step));
  const centres: number[] = [];
  const tips: number[] = [];
  const butts: number[] = [];
  for (let g = 0; g < groups; g++) {
    const rows = rowsOn.slice(Math.floor((g * rowsOn.length) / groups), Math.floor(((g + 1) * rowsOn.length) / groups));
    const y = (c: number): number => rows.reduce((sum, k) => sum + value(k, c), 0) / rows.length;
    const samples = Float64Array.from({ length: b - a + 1 }, (_, i) => y(a + i));
    const peak = quantile(samples, 0.85);
    const level = quantile(samples, 0.15);
    const half = (peak + level) / 2;
    const middle = Math.round(((fit.tip + fit.butt) / 2 - strip.from) / strip.step) - a;
    if (!(samples[middle]! > level + 0.3 * (peak - level))) continue;
    const walk = (direction: 1 | -1): number => {
      // Start where the group is surely inside the band.
      let i = middle;
      while (i + direction >= 0 && i + direction < samples.length && samples[i]! > half) i += direction;
      const inner = samples[i - direction] ?? samples[i]!;
      const t = inner === samples[i]! ? 0 : (inner - half) / (inner - samples[i]!);
      return strip.from + (a + i - direction + direction * Math.min(Math.max(t, 0), 1)) * strip.step;
    };
    const tip = walk(-1);
    const butt = walk(1);
    tips.push(tip);
    butts.push(butt);
    centres.push((tip + butt) / 2);
  }
  if (centres.length < Math.min(3, groups)) return undefined;
  const spread = (values: number[]): number => {
    const mean = values.reduce((p, q) => p + q, 0) / values.length;
    return Math.sqrt(values.reduce((p, q) => p + (q - mean) ** 2, 0) / Math.max(values.length - 1, 1));
  };
  if (robustSigma(centres) > Math.max(0.35 * width, 0.3)) return undefined;
  const n = Math.sqrt(centres.length);
  return { centre: spread(centres) / n, edge: (spread(tips) + spread(butts)) / 2 / n };
}

/**
 * Finds bands drawn across the blank in each photo by their profile along the straightened blank. A band is what stands
 * out of the blank's own texture (Mahalanobis distance of luma and colour), is as wide as a marker's stroke, shows on a
 * good part of the visible width, and whose pieces line up square across. Its two edges come from a blurred box fitted
 * to the profile in the colour that tells band from blank best (a linear discriminant, Fisher 1936). `range` = the arc
 * lengths to search, mm.
 */
export function searchMarks(views: readonly View[], axis: BlankAxis, range: Stretch): MarkSearchResult {
  const searched = views.map((view) => visibleStretch(view, axis, range));
  const sightings: MarkSighting[] = [];
  for (const [index, view] of views.entries()) {
    const stretch = searched[index];
    if (stretch === undefined) continue;
    const strip = straighten(view, axis, stretch, acrossPlaces(ROWS, LIMIT));
    const relief = stripRelief(strip, (s) => blankRadius(axis, s));
    if (relief === undefined) continue;
    const half = Math.round(0.4 / strip.step);
    const { score, inverse } = prominence(relief, half);
    const all = candidates(relief, score, inverse, half, strip.step);
    for (const candidate of all) {
      const middle = strip.from + ((candidate.from + candidate.to) / 2) * strip.step;
      // Only what is about as strong crowds a band: noise and sharpening halos beside it are its ground.
      const rivals = all.filter((other) => other !== candidate && score[other.peak]! > 0.25 * score[candidate.peak]!);
      const before = rivals.findLast((other) => other.to <= candidate.from);
      const after = rivals.find((other) => other.from >= candidate.to);
      // Neighbours' ground ends half-way to them.
      const room = {
        from: Math.max(
          strip.from + candidate.from * strip.step - 3,
          before === undefined ? -Infinity : strip.from + ((before.to + candidate.from) / 2) * strip.step,
        ),
        to: Math.min(
          strip.from + candidate.to * strip.step + 3,
          after === undefined ? Infinity : strip.from + ((after.from + candidate.to) / 2) * strip.step,
        ),
      };
      const radius = blankRadius(axis, middle);
      const sighting = measure(strip, relief, inverse, candidate, room, score[candidate.peak]!, radius);
      if (sighting !== undefined) sightings.push({ view: index, ...sighting });
    }
  }
  return { sightings, searched };
}
