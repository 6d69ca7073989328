import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { loadavg, tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import sharp from 'sharp';
import { parseShoot } from '../src/plan/files/shoot_file.ts';
import { benchBendLayout } from './plan/bend_layout_bench.ts';
import type { BenchRun, Took } from './bench_run.ts';
import { benchWalk, type WalkTook } from './browser/walk_bench.ts';
import { thinLongWalk, writeLongWalk } from './world/long_walk.ts';

/**
 * Time and memory of the check, stage by stage: `npm run bench`, or `npm run bench -- FOLDER` for a shoot of one's own,
 * with `--runs N` (5 when absent). Each run is a process of its own, and the median of the runs is printed: as time, as
 * a share of the whole, and as a ratio to what decoding the same photos takes in the same run. Beside it, where
 * Debian's python3-opencv is installed, the time that it takes to find the same tags. Without a folder: the sample's
 * six photos enlarged to 12 megapixels, one photo of 12 megapixels, and (once each, drawn for it: that alone takes
 * minutes) walks of 25, 50, 100 and 200 small photos along one rod; then the app, built anew, with a walk that takes
 * itself (`--app`: that alone). The goal is six times the decoding and 600 MB for the walk, 1.5 s for the one photo,
 * and time in line with the photos; in the app a first screen in 1 s, the verdict 3 s after the last photo and 60 s
 * after the camera was opened, and nothing that blocks a tap for 100 ms.
 */
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { runs: { type: 'string', default: '5' }, app: { type: 'boolean', default: false } },
});
const runs = Math.max(1, Number(values.runs) || 5);
const here = dirname(fileURLToPath(import.meta.url));

const median = (numbers: readonly number[]): number => {
  const sorted = numbers.toSorted((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
};

function bench(name: string, folder: string, times = runs): void {
  const all = Array.from({ length: times }, () => runOnce(folder));
  const of = (pick: (run: BenchRun) => Took): Took => ({
    seconds: median(all.map((run) => pick(run).seconds)),
    processor: median(all.map((run) => pick(run).processor)),
  });
  const { photos, verdict, stages, tags } = all[0]!;
  const decoding = of((run) => run.decoding);
  const whole = of((run) => run.whole);
  console.log(`${name}: ${photos} photo(s), ${tags} tags, verdict ${verdict}; medians of ${times}`);
  console.log(row('', 'time', 'share', 'to decoding', 'processor', 'to decoding'));
  const line = (what: string, { seconds, processor }: Took, share = '') => {
    const cells = [
      ratio(seconds / decoding.seconds),
      `${processor.toFixed(2)} s`,
      ratio(processor / decoding.processor),
    ];
    console.log(row(what, `${seconds.toFixed(2)} s`, share, ...cells));
  };
  line('Decoding the photos, by itself', decoding);
  for (const [i, { name: stage }] of stages.entries()) {
    const took = of((run) => run.stages[i]!);
    line(stage, took, `${Math.round((100 * took.seconds) / whole.seconds)} %`);
  }
  line('The whole check, its own decoding in it', whole, '100 %');
  commandOnce(folder);
  const commands = Array.from({ length: times }, () => commandOnce(folder));
  line('As a command, start and report in it', {
    seconds: median(commands.map(({ seconds }) => seconds)),
    processor: median(commands.map(({ processor }) => processor)),
  });
  const python = pythonTags(folder);
  if (python)
    line(`OpenCV ${python.version} for Python, ${python.tags} tags`, {
      seconds: python.seconds,
      processor: python.processor,
    });
  console.log(row('Largest resident memory', `${median(all.map((run) => run.megabytes))} MB`));
}

const ratio = (of: number): string => `${of.toFixed(1)} x`;
const row = (what: string, ...cells: string[]): string =>
  `  ${what.padEnd(42)}${cells.map((cell) => cell.padStart(13)).join('')}`;

/** As `npm run verify` runs a check. */
const newSpace = '--max-semi-space-size=32';

/** The whole command, from its start to its end, once it has been put together. */
function commandOnce(folder: string): Took {
  const command = [process.execPath, newSpace, resolve(here, '../src/cli/command.mjs'), 'verify', folder];
  const timed = 'TIMEFORMAT="%R %U %S"; time "$@" > /dev/null 2> /dev/null; true';
  const { stderr } = spawnSync('bash', ['-c', timed, 'bash', ...command], { encoding: 'utf8' });
  const [seconds = Number.NaN, user = Number.NaN, system = Number.NaN] = stderr.trim().split(' ').map(Number);
  return { seconds, processor: user + system };
}

function runOnce(folder: string): BenchRun {
  const output = execFileSync(process.execPath, [newSpace, '--import', 'tsx', join(here, 'bench_run.ts'), folder], {
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  return JSON.parse(output) as BenchRun;
}

type PythonTags = Took & { version: string; tags: number };

/** Debian's OpenCV over the same photos, half size, decoding left out; undefined where it is not installed. */
function pythonTags(folder: string): PythonTags | undefined {
  const { photos } = parseShoot(readFileSync(join(folder, 'shoot.json'), 'utf8'), 'shoot.json');
  const files = photos.map((photo) => join(folder, photo));
  try {
    const text = execFileSync('/usr/bin/python3', [join(here, 'bench_tags.py'), String(runs), ...files], {
      encoding: 'utf8',
      stdio: ['ignore', 'pipe', 'ignore'],
    });
    return JSON.parse(text) as PythonTags;
  } catch {
    return undefined;
  }
}

/** A copy of a shoot with its photos at 4032 pixels across, their EXIF kept: as heavy as a phone's own, if softer. */
async function enlarged(folder: string): Promise<string> {
  const copy = mkdtempSync(join(tmpdir(), 'prewrap-bench-'));
  for (const file of ['plan.json', 'shoot.json']) writeFileSync(join(copy, file), readFileSync(join(folder, file)));
  const { photos } = parseShoot(readFileSync(join(folder, 'shoot.json'), 'utf8'), 'shoot.json');
  for (const photo of photos) {
    const bytes = readFileSync(join(folder, photo));
    const { width, height } = await sharp(bytes).metadata();
    const factor = 4032 / Math.max(width, height);
    mkdirSync(dirname(join(copy, photo)), { recursive: true });
    await sharp(bytes)
      .resize(Math.round(width * factor), Math.round(height * factor), { kernel: 'lanczos3', fit: 'fill' })
      .keepExif()
      .jpeg({ quality: 90 })
      .toFile(join(copy, photo));
  }
  return copy;
}

/** The walk in the app, as often as asked: the median of each figure. */
async function benchApp(): Promise<void> {
  execFileSync('npm', ['run', '--silent', 'build'], { stdio: ['ignore', 'ignore', 'inherit'] });
  const before = loadavg()[0]!;
  const walks: WalkTook[] = [];
  for (let run = 0; run < runs; run++) walks.push(await benchWalk());
  const of = (pick: (walk: WalkTook) => number) => median(walks.map(pick));
  const seconds = (value: number) => `${value.toFixed(1)} s`;
  const load = `${before.toFixed(1)} before, ${loadavg()[0]!.toFixed(1)} after`;
  const { photos, verdict } = walks[0]!;
  console.log(`A walk in the app: ${photos} photo(s), “${verdict}”; medians of ${runs}; load of the machine ${load}`);
  console.log(row('First screen', seconds(of(({ firstScreen }) => firstScreen))));
  console.log(row('Opening the camera to the verdict', seconds(of(({ toVerdict }) => toVerdict))));
  console.log(row('Last photo taken to the verdict', seconds(of(({ afterLastPhoto }) => afterLastPhoto))));
  console.log(row('Longest a tap could have waited', `${Math.round(of(({ longestTask }) => longestTask))} ms`));
}

const [own] = positionals;
if (own) bench(own, resolve(own));
else if (values.app) await benchApp();
else {
  const walk = await enlarged(resolve(here, '../fixtures/sample'));
  bench('A walk at 12 megapixels', walk);
  rmSync(walk, { recursive: true });
  bench('One photo at 12 megapixels', resolve(here, '../fixtures/walks/d1-rings-one'));
  const long = mkdtempSync(join(tmpdir(), 'prewrap-bench-'));
  await writeLongWalk(long, { photos: 200, width: 1000, distance: 300, length: 1950 });
  for (const every of [8, 4, 2] as const) {
    const thinned = join(long, `every-${every}`);
    thinLongWalk(long, thinned, every);
    bench(`${200 / every} small photos`, thinned, 1);
  }
  bench('200 small photos', long, 1);
  rmSync(long, { recursive: true });
  await benchApp();
  const layout = benchBendLayout();
  console.log(`Layout by bend, 12 guides: first ${layout.first.toFixed(1)} ms, then ${layout.middle.toFixed(1)} ms`);
}
