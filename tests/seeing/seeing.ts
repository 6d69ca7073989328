import { likeliestClasses } from '../../src/vision/finder/class_grid.ts';
import { type Finder, loadFinder } from '../../src/vision/finder/finder.ts';
import { stripClassesAt, stripKinds, stripPeaks, stripStride } from '../../src/vision/finder/peaks.ts';
import { laneSampling, stripSampling, tipSampling } from '../../src/vision/finder/sheet.ts';
import { classNames } from '../../src/vision/finder/sighting.ts';
import { finderWeights } from '../../src/vision/finder/weights_node.ts';
import { laneOutput, tipPeaks } from '../../src/vision/finder/look_at_lane.ts';
import { tipTold } from '../../src/vision/finder/look_at_tip.ts';
import { type HeldOut, heldOutEntries, heldOutTips, readHeldOut } from './held_out.ts';
import { emptyScore, type KindScore, scorePeaks } from './score.ts';

/**
 * What the finder sees on rods it was never trained on, through the product's own runner: `npm run seeing`. A centre
 * counts as seen from this score on.
 */
const threshold = 0.4;

interface ClassCount {
  right: number[];
  there: number[];
}

const print = (line: string) => process.stdout.write(`${line}\n`);
const median = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
const percent = (part: number, whole: number): string => (whole > 0 ? `${((100 * part) / whole).toFixed(2)} %` : '-');

function countClasses(guess: Uint8Array, columns: number, held: HeldOut, stride: number, into: ClassCount): void {
  const width = held.classes.length / (held.planes.rows / stride);
  held.classes.forEach((truth, at) => {
    const column = at % width;
    if (truth >= classNames.length || column >= columns) return;
    into.there[truth] = (into.there[truth] ?? 0) + 1;
    if (guess[Math.floor(at / width) * columns + column] === truth) into.right[truth] = (into.right[truth] ?? 0) + 1;
  });
}

const classLine = ({ right, there }: ClassCount): string =>
  classNames.flatMap((name, k) => (there[k] ? [`${name} ${percent(right[k] ?? 0, there[k])}`] : [])).join(', ');

async function strips(finder: Finder): Promise<void> {
  const scores = new Map<string, KindScore>(stripKinds.map((kind) => [kind, emptyScore()]));
  const classes: ClassCount = { right: [], there: [] };
  const rods = new Set<number>();
  let milliseconds = 0;
  let samples = 0;
  for (const entry of heldOutEntries('strips')) {
    const held = await readHeldOut(entry);
    const started = performance.now();
    const output = finder.strip.run(held.planes.data, held.planes.width, held.planes.rows);
    const peaks = stripPeaks(output, held.planes).filter((peak) => peak.score >= threshold);
    milliseconds += performance.now() - started;
    samples += held.planes.width;
    scorePeaks(peaks, held.things, scores);
    const grid = likeliestClasses(output, stripClassesAt, held.planes, stripStride);
    countClasses(grid.classes, grid.columns, held, stripStride, classes);
    rods.add(held.rod);
  }
  print(`Strips of ${rods.size} rods never trained on, a centre counted from score ${threshold} on`);
  print('| kind | there | found | misnamed | false | place, median mm | radius, median | foot side right |');
  print('| --- | --- | --- | --- | --- | --- | --- | --- |');
  for (const [kind, s] of scores) {
    const place = (median(s.place) * stripSampling.step).toFixed(2);
    const radius = `${(100 * (2 ** median(s.radius) - 1)).toFixed(1)} %`;
    print(
      `| ${kind} | ${s.there} | ${s.found} (${percent(s.found, s.there)}) | ${s.misnamed} | ${s.false} | ${place} | ${radius} | ${percent(s.feet.right, s.feet.known)} |`,
    );
  }
  const all = [...scores.values()].reduce((sum, s) => sum + s.false, 0);
  print(`${((50 * all) / rods.size).toFixed(2)} false centres in 50 rods`);
  print(`classes: ${classLine(classes)}`);
  const length = (samples * stripSampling.step) / 1000;
  print(`${(milliseconds / 1000 / length).toFixed(2)} s for a metre of strip`);
}

async function lanes(finder: Finder): Promise<void> {
  const classes: ClassCount = { right: [], there: [] };
  const tips = emptyScore();
  const entries = heldOutEntries('lanes');
  for (const entry of entries) {
    const held = await readHeldOut(entry);
    const output = finder.lane.run(held.planes.data, held.planes.width, held.planes.rows);
    const seen = tipPeaks(output, held.planes).filter(({ score }) => score >= threshold);
    const told = seen.map((tip) => ({ ...tip, kind: 'tip' as const, radius: 1, footToward: { tip: 0, butt: 0 } }));
    scorePeaks(told, held.things, new Map([['tip', tips]]));
    const grid = likeliestClasses(output, laneOutput.classesAt, held.planes, laneOutput.stride);
    countClasses(grid.classes, grid.columns, held, laneOutput.stride, classes);
  }
  print(`\nLanes of ${entries.length} of these rods`);
  const place = (median(tips.place) * laneSampling.step).toFixed(2);
  print(
    `tips: ${tips.there} there, ${tips.found} found (${percent(tips.found, tips.there)}), ${tips.false} false, place ${place} mm`,
  );
  print(`classes: ${classLine(classes)}`);
}

async function tips(finder: Finder): Promise<void> {
  const held = await heldOutTips();
  const looks = held.map(({ planes, end }) => ({ end, told: tipTold(finder, planes) }));
  const there = looks.filter(({ end }) => end);
  const told = there.flatMap(({ end, told }) => (told ? [{ off: told.column - end!.column, sigma: told.sigma }] : []));
  const off = told.map(({ off }) => Math.abs(off) * tipSampling.step);
  const overSigma = told.filter((_, i) => off[i]! < far).map(({ off, sigma }) => (off / sigma) ** 2);
  print(`\nStrips along the tip end of ${held.length} rods never trained on`);
  print(
    `${there.length} ends there, ${told.length} told, ${off.filter((mm) => mm >= far).length} of them ${far} mm and more off; ` +
      `${looks.filter(({ end, told }) => told && !end).length} told where none is`,
  );
  const spread = Math.sqrt(overSigma.reduce((a, b) => a + b, 0) / overSigma.length);
  print(`median ${median(off).toFixed(3)} mm; of the rest, error over told deviation ${spread.toFixed(2)} rms`);
}

/** So far off, mm, an end told is another thing's. */
const far = 1;

const finder = await loadFinder(await finderWeights());
await strips(finder);
await lanes(finder);
await tips(finder);
