import { fork } from 'node:child_process';
import { appendFileSync, existsSync, readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { parseArgs } from 'node:util';
import { loadFinder } from '../../src/vision/finder/finder.ts';
import { finderWeights } from '../../src/vision/finder/weights_node.ts';
import { coverageCells, coverageHeads, printTable, type Sample } from './coverage_table.ts';
import { type MeasuredBuild, type MeasuredGuide, measureBuild } from './measured_build.ts';

/**
 * Whole checks of drawn photos. `count` builds from seed `from` on are drawn, saved as JPEG would, and checked, each
 * in one of `jobs` processes of its own; with `keep` their results are added to that file as they come, a line each,
 * and what it holds already is not drawn again, so that a run may go on where another ended. The table holds what was
 * found against what was drawn.
 */
export async function picturesCommand(args: string[]): Promise<void> {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: { from: { type: 'string' }, jobs: { type: 'string' }, keep: { type: 'string' } },
  });
  const [count, from] = [Number(positionals[0] ?? 500), Number(values.from ?? 1)];
  const jobs = Number(values.jobs ?? Math.max(1, availableParallelism() - 1));
  if (![count, from, jobs].every((n) => Number.isInteger(n) && n > 0))
    throw new Error('Say: npm run doubt -- pictures COUNT --from SEED --jobs NUMBER --keep FILE, all numbers above 0.');
  const kept = values.keep && existsSync(values.keep) ? readFileSync(values.keep, 'utf8').split('\n') : [];
  const known = kept.flatMap((line) => (line ? [JSON.parse(line) as MeasuredBuild] : []));
  const asked = Array.from({ length: count }, (_, i) => from + i);
  const fresh = await measured(
    asked.filter((seed) => known.every((one) => one.seed !== seed)),
    jobs,
    (build) => values.keep && appendFileSync(values.keep, `${JSON.stringify(build)}\n`),
  );
  printCoverage([...known.filter(({ seed }) => asked.includes(seed)), ...fresh]);
}

/** The results of seeds, worked out side by side; each is handed to `onResult` as it comes. */
async function measured(
  seeds: readonly number[],
  jobs: number,
  onResult: (build: MeasuredBuild) => void,
): Promise<MeasuredBuild[]> {
  const left = [...seeds];
  const results: MeasuredBuild[] = [];
  const work = () =>
    new Promise<void>((resolve, reject) => {
      const child = fork(process.argv[1]!, ['pictures-of-seeds'], { stdio: 'inherit' });
      const next = () => {
        const seed = left.shift();
        if (seed === undefined) child.disconnect();
        else child.send(seed);
      };
      child.on('message', (build) => {
        results.push(build as MeasuredBuild);
        onResult(build as MeasuredBuild);
        next();
      });
      child.on('exit', (code) => (code === 0 ? resolve() : reject(new Error(`A process ended with code ${code}.`))));
      next();
    });
  await Promise.all(Array.from({ length: Math.min(jobs, seeds.length) }, work));
  return results;
}

/** What a process does that `measured` started: each seed it is sent it answers with what came of it. */
export async function picturesOfSeeds(): Promise<void> {
  const finder = await loadFinder(await finderWeights());
  process.on('message', (seed) => {
    measureBuild(seed as number, finder).then(
      (build) => process.send!(build),
      (problem: unknown) => {
        console.error(`Seed ${String(seed)}:`, problem);
        process.exit(1);
      },
    );
  });
}

const kinds: readonly { name: string; of: (build: MeasuredBuild) => boolean }[] = [
  { name: 'one photo', of: ({ kind }) => kind === 'one photo' },
  { name: 'two photos', of: ({ kind }) => kind === 'two photos' },
  { name: 'walks', of: ({ kind }) => kind === 'walk' },
  { name: 'walks, flat, good lens', of: (one) => one.kind === 'walk' && isGood(one) },
  { name: 'walks, waved or bent', of: (one) => one.kind === 'walk' && !isGood(one) },
  { name: 'waves over 0.6 mm', of: ({ waves }) => waves > 0.6 },
  { name: 'field over 0.4 px', of: ({ field }) => field > 0.4 },
  { name: 'JPEG under 80', of: ({ picture }) => picture.quality < 80 },
  { name: 'blur over 0.8 px', of: ({ picture }) => picture.blur > 0.8 },
  { name: 'all', of: () => true },
];
const isGood = ({ waves, field }: MeasuredBuild) => waves <= 0.2 && field <= 0.1;

const sizes: readonly { name: string; of: (guide: MeasuredGuide) => boolean }[] = [
  { name: 'guides of a wrong size', of: ({ wrongSize }) => wrongSize },
  { name: 'guides under 9 mm', of: ({ outer }) => outer < 9 },
  { name: 'guides of 9 to 14 mm', of: ({ outer }) => outer >= 9 && outer < 14 },
  { name: 'guides over 14 mm', of: ({ outer }) => outer >= 14 },
];

function printCoverage(builds: readonly MeasuredBuild[]): void {
  const told = builds.filter(({ refused }) => refused === undefined);
  const sum = (pick: (build: MeasuredBuild) => number) => builds.reduce((total, one) => total + pick(one), 0);
  const guides = sum(({ found, lost }) => found.length + lost.length);
  console.log(
    `${builds.length} drawn builds, ${builds.length - told.length} refused; ${guides} guides, ${sum((b) => b.lost.length)} not found, ${sum((b) => b.ghosts.length)} found where none is, ${sum((b) => b.falsePass.length)} passed that are off; ${(sum((b) => b.seconds.drawing) / 60).toFixed(0)} min of drawing and ${(sum((b) => b.seconds.check) / 60).toFixed(0)} of checking`,
  );
  for (const { seed, refused } of builds) if (refused) console.log(`  seed ${seed}: ${refused}`);
  const values = (of: readonly MeasuredBuild[], pick: (guide: MeasuredGuide) => boolean, quantity: Quantity) =>
    of.flatMap(({ seed, found }) =>
      found.filter(pick).flatMap((guide): Sample[] => {
        const one = guide[quantity];
        return one ? [{ seed, ...one }] : [];
      }),
    );
  for (const quantity of ['along', 'apart', 'roll'] as const) {
    console.log(`\n${titles[quantity]}`);
    printTable([
      ['', 'builds', ...coverageHeads],
      ...kinds.map(({ name, of }) => {
        const own = told.filter(of);
        return [name, String(own.length), ...coverageCells(values(own, () => true, quantity))];
      }),
      ...sizes.map(({ name, of }) => [name, '', ...coverageCells(values(told, of, quantity))]),
    ]);
  }
}

type Quantity = 'along' | 'apart' | 'roll';
const titles: Readonly<Record<Quantity, string>> = {
  along: 'Along, mm, U = 2 u',
  apart: 'Along without the share of the tape’s scale, mm',
  roll: 'Roll, degrees',
};
