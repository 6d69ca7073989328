import { existsSync } from 'node:fs';
import { mkdir, readFile, stat, writeFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { parseArgs } from 'node:util';
import { unpackBuild } from '../store/archive.ts';
import { checkShoot } from '../check/check_shoot.ts';
import { decodePhotoFile } from '../photo/decode_node.ts';
import { InputError } from '../plan/input_error.ts';
import { parsePlan } from '../plan/files/plan_file.ts';
import { parseShoot } from '../plan/files/shoot_file.ts';
import { parseReport, reportToText } from '../verdict/report_file.ts';
import { reportTable } from '../verdict/report_table.ts';
import { loadFinder } from '../vision/finder/finder.ts';
import { finderWeights } from '../vision/finder/weights_node.ts';
import { writePictures } from './pictures.ts';

const usage = 'npm run --silent verify -- FOLDER [--report FILE] [--pictures FOLDER]';

const exitCodes = { ready: 0, fix: 1, reshoot: 2 } as const;
/** Input that cannot be used. */
const unusable = 3;

/**
 * Checks the shoot in a folder or an exported zip (plan.json, shoot.json and the photos): prints a table, writes the report and the pictures
 * where asked. Answers the exit code: 0 ready, 1 fix, 2 reshoot, 3 input that cannot be used.
 */
export async function verifyCommand(args: string[]): Promise<number> {
  try {
    return await verify(args);
  } catch (error) {
    endProgress();
    if (!(error instanceof InputError)) throw error;
    console.error(error.message);
    return unusable;
  }
}

async function verify(args: string[]): Promise<number> {
  const { source: path, reportFile, pictures } = readArguments(args);
  const source = await openSource(path);
  const plan = parsePlan(await source.text('plan.json'), 'plan.json');
  const shoot = parseShoot(await source.text('shoot.json'), 'shoot.json');
  const earlier = shoot.earlierMarks;
  const earlierMarks = earlier ? parseReport(await source.text(earlier), earlier) : undefined;
  for (const name of shoot.photos) {
    if (!source.has(name))
      throw new InputError(
        `shoot.json names the photo ${name}, but there is no such file beside it: add it, or take its name out.`,
      );
  }
  const load = async (index: number) => {
    const name = shoot.photos[index]!;
    return decodePhotoFile({ name, bytes: await source.bytes(name) });
  };
  const finder = await loadFinder(await finderWeights());
  const options = { finder, ...(earlierMarks && { earlierMarks }) };
  const { report, evidence } = await checkShoot(plan, shoot, load, showProgress, options);
  finder.release();
  endProgress();
  console.log(reportTable(plan, report));
  if (reportFile) {
    await mkdir(dirname(reportFile), { recursive: true });
    await writeFile(reportFile, reportToText(report));
  }
  if (pictures) await writePictures(pictures, plan, report, evidence, (name) => source.bytes(name));
  return exitCodes[report.verdict];
}

/** Where plan, shoot and photos come from: a folder, or a zip that the app exported. */
interface Source {
  has(name: string): boolean;
  text(name: string): Promise<string>;
  bytes(name: string): Promise<Uint8Array>;
}

async function openSource(path: string): Promise<Source> {
  const found = await stat(path).catch(() => undefined);
  if (!found) throw new InputError(`There is no folder or zip ${path}: check the path.`);
  const missing = (name: string) =>
    new InputError(`${name} was not found in ${path}: put the plan, the shoot and the photos into one folder.`);
  if (found.isDirectory()) {
    const bytes = async (name: string) => {
      try {
        return await readFile(join(path, name));
      } catch {
        throw missing(name);
      }
    };
    return {
      has: (name) => existsSync(join(path, name)),
      bytes,
      text: async (name) => (await bytes(name)).toString('utf8'),
    };
  }
  const { files } = unpackBuild(await readFile(path), basename(path));
  const bytes = (name: string) => {
    const content = files.get(name);
    return content ? Promise.resolve(content) : Promise.reject(missing(name));
  };
  return { has: (name) => files.has(name), bytes, text: async (name) => new TextDecoder().decode(await bytes(name)) };
}

function readArguments(args: string[]): { source: string; reportFile?: string; pictures?: string } {
  let parsed: { values: { report?: string; pictures?: string }; positionals: string[] };
  try {
    parsed = parseArgs({
      args,
      allowPositionals: true,
      options: { report: { type: 'string' }, pictures: { type: 'string' } },
    });
  } catch (error) {
    throw new InputError(`${error instanceof Error ? error.message : String(error)} (usage: ${usage})`);
  }
  const [source, ...more] = parsed.positionals;
  if (!source || more.length > 0)
    throw new InputError(`Name one folder (or zip) with plan.json, shoot.json and the photos: ${usage}`);
  return {
    source,
    ...(parsed.values.report ? { reportFile: parsed.values.report } : {}),
    ...(parsed.values.pictures ? { pictures: parsed.values.pictures } : {}),
  };
}

const onTerminal = process.stderr.isTTY === true;

function showProgress({ stage, done }: { stage: string; done: number }): void {
  if (onTerminal) process.stderr.write(`\r\u001b[K${Math.round(100 * done)} %  ${stage}`);
}

function endProgress(): void {
  if (onTerminal) process.stderr.write('\r\u001b[K');
}
