import { spawn } from 'node:child_process';
import { mkdtemp, readdir, realpath, rm } from 'node:fs/promises';
import { availableParallelism, tmpdir, totalmem } from 'node:os';
import { basename, join } from 'node:path';
import { InputError } from '../plan/input_error.ts';
import { openFolder, openOutput } from './outputs.ts';
import { readPlainText } from './shoot_source.ts';
import { fingerprintOf, type Remembered, readRack, readReport, writeRack } from './rack_memory.ts';
import { exitCodeOf, type Outcome, rackCsv, rackTable } from './rack_outcome.ts';

/** How a rack of builds is checked. */
export interface RackOptions {
  /** where the reports go, and from where a stopped run goes on */
  reports?: string;
  csv?: string;
  /** checks side by side */
  jobs?: number;
  /** of each check; by the cores that checks side by side leave it when absent */
  threads?: number;
  /** files of kept lenses, for each check */
  lens?: readonly string[];
  /** file of the kept mat that all builds lie on */
  mat?: string;
  /** one check: writes its report; its exit code, and the line it said where it was refused */
  check?: (path: string, report: string) => Promise<{ code: number | null; said: string }>;
  /** told when a build is done */
  onDone?: (outcome: Outcome, done: number, all: number) => void;
}

interface Task {
  name: string;
  /** as it was named, and its whole path where there is one */
  path: string;
  source: string;
}

/** Memory a check may take at its height, bytes: as many run side by side as find room. */
const memoryOfCheck = 2e9;

/**
 * Checks many builds, each in a process of its own, and prints one table for all; a build that cannot be used is a row
 * and stops nothing. With a folder for the reports a stopped run goes on: what was checked and has not changed since is
 * not checked again. Answers one exit code for all. Throws InputError where an output cannot be written.
 */
export async function checkRack(paths: readonly string[], options: RackOptions = {}): Promise<number> {
  const csv = options.csv ? await openOutput(options.csv) : undefined;
  const own = options.reports === undefined ? await mkdtemp(join(tmpdir(), 'prewrap-rack-')) : undefined;
  const folder = options.reports ?? own!;
  try {
    if (!own) await openFolder(folder, 'the reports');
    const tasks = await tasksOf(paths);
    const memory = new RackMemory(folder, own ? [] : await readRack(folder), await readdir(folder));
    const outcomes: Outcome[] = [];
    const room = Math.max(1, Math.floor(totalmem() / memoryOfCheck));
    const jobs = Math.min(options.jobs ?? Math.min(availableParallelism(), room), Math.max(tasks.length, 1));
    const threads = options.threads ?? Math.max(1, Math.floor(availableParallelism() / jobs));
    const beside = [
      ['--threads', String(threads)],
      ...(options.lens ?? []).map((file) => ['--lens', file]),
      ...(options.mat === undefined ? [] : [['--mat', options.mat]]),
    ];
    const kept = await Promise.all(
      [...(options.lens ?? []), ...(options.mat === undefined ? [] : [options.mat])].map(readPlainText),
    );
    const check = options.check ?? ((path: string, report: string) => checkApart(path, report, beside.flat()));
    let next = 0;
    let done = 0;
    const work = async () => {
      while (next < tasks.length) {
        const i = next++;
        outcomes[i] = await outcomeOf(tasks[i]!, memory, check, kept);
        options.onDone?.(outcomes[i], ++done, tasks.length);
      }
    };
    await Promise.all(Array.from({ length: jobs }, work));
    console.log(rackTable(outcomes));
    await csv?.write(rackCsv(outcomes));
    return exitCodeOf(outcomes);
  } finally {
    await csv?.leave();
    if (own) await rm(own, { recursive: true, force: true });
  }
}

/** Each folder or zip once, with a name of its own. */
async function tasksOf(paths: readonly string[]): Promise<Task[]> {
  const tasks: Task[] = [];
  for (const path of paths) {
    const source = await realpath(path).catch(() => path);
    if (tasks.some((task) => task.source === source)) continue;
    const plain = basename(source)
      .replace(/\.zip$/i, '')
      .replaceAll(/[^\p{L}\p{N} _.-]+/gu, '-')
      .replace(/^\.+/, '')
      .slice(0, 80);
    tasks.push({ name: freeName(plain || 'build', new Set(tasks.map(({ name }) => name))), path, source });
  }
  return tasks;
}

function freeName(wanted: string, taken: ReadonlySet<string>): string {
  let name = wanted;
  for (let n = 2; taken.has(name); n++) name = `${wanted}-${n}`;
  return name;
}

/** What earlier runs and this one have written into the folder of the reports. */
class RackMemory {
  readonly #folder: string;
  #builds: Remembered[];
  #writing: Promise<void> = Promise.resolve();

  /** names in the folder: whatever stands there that is no report of ours is not written over */
  readonly #taken: Set<string>;

  constructor(folder: string, builds: Remembered[], present: readonly string[]) {
    this.#folder = folder;
    this.#builds = builds;
    this.#taken = new Set(present);
  }

  /** The report a source has, or is to have: the one of before, or one under a name nobody else uses. */
  reportFor({ source, name }: Task): Remembered {
    const known = this.#builds.find((build) => build.source === source);
    if (known) return known;
    let report = `${name}.report.json`;
    for (let n = 2; this.#taken.has(report); n++) report = `${name}-${n}.report.json`;
    this.#taken.add(report);
    const build = { source, fingerprint: '', report };
    this.#builds.push(build);
    return build;
  }

  file = ({ report }: Remembered): string => join(this.#folder, report);

  /** Written after each build, one after the other: a run may be stopped at any time. */
  async remember(build: Remembered): Promise<void> {
    this.#builds = this.#builds.map((other) => (other.source === build.source ? build : other));
    const finished = this.#builds.filter(({ fingerprint }) => fingerprint !== '');
    this.#writing = this.#writing.then(() => writeRack(this.#folder, finished));
    await this.#writing;
  }
}

async function outcomeOf(
  task: Task,
  memory: RackMemory,
  check: NonNullable<RackOptions['check']>,
  kept: readonly string[],
): Promise<Outcome> {
  const { name } = task;
  try {
    const { title, fingerprint } = await fingerprintOf(task.path, kept);
    const known = memory.reportFor(task);
    const file = memory.file(known);
    const before = known.fingerprint === fingerprint ? await readReport(file) : undefined;
    if (before) return { kind: 'checked', name, title, report: before, again: true };
    // a check that breaks off must not be taken for what was found before
    await rm(file, { force: true });
    const { code, said } = await check(task.path, file);
    const report = code !== null && code < 3 ? await readReport(file) : undefined;
    if (!report) return { kind: 'unusable', name, problem: said || 'The check ended without an answer: run it alone.' };
    await memory.remember({ ...known, fingerprint });
    return { kind: 'checked', name, title, report, again: false };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { kind: 'unusable', name, problem: error.message };
  }
}

/** One check in a process of its own: its exit code, and the line it said where it was refused. */
function checkApart(
  path: string,
  report: string,
  beside: readonly string[],
): Promise<{ code: number | null; said: string }> {
  const main = process.argv[1]!;
  const child = spawn(
    process.execPath,
    [...process.execArgv, main, 'verify', '--report', report, ...beside, '--', path],
    {
      stdio: ['ignore', 'ignore', 'pipe'],
    },
  );
  let said = '';
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    said = (said + text).slice(-2000);
  });
  return new Promise((resolve, reject) => {
    child.once('error', reject);
    // a refusal is one line; of a fault the one that names it
    child.once('close', (code) => {
      const lines = said.trim().split('\n');
      resolve({ code, said: lines.find((line) => /^\w*Error\b/.test(line)) ?? lines.at(-1) ?? '' });
    });
  });
}
