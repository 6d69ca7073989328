import { existsSync } from 'node:fs';
import { mkdir, readFile, stat, writeFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { parseArgs } from 'node:util';
import { checkShoot } from '../check.ts';
import { decodePhotoFile } from '../photo/decode_node.ts';
import { InputError } from '../plan/input_error.ts';
import { parsePlan } from '../plan/plan_file.ts';
import { parseShoot } from '../plan/shoot_file.ts';
import { parseReport, reportToText } from '../verdict/report_file.ts';
import { reportTable } from '../verdict/report_table.ts';
import type { Report } from '../verdict/report.ts';
import { writePictures } from './pictures.ts';

const usage = 'npm run --silent verify -- FOLDER [--report FILE] [--pictures FOLDER]';

const exitCodes = { ready: 0, fix: 1, reshoot: 2 } as const;
/** Input that cannot be used. */
const unusable = 3;

/**
 * Checks the shoot in a folder (plan.json, shoot.json and the photos): prints a table, writes the report and the pictures
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
  const { folder, reportFile, pictures } = readArguments(args);
  const plan = parsePlan(await readText(folder, 'plan.json'), 'plan.json');
  const shoot = parseShoot(await readText(folder, 'shoot.json'), 'shoot.json');
  const earlierMarks = shoot.earlierMarks ? await readReport(folder, shoot.earlierMarks) : undefined;
  for (const name of shoot.photos) {
    if (!existsSync(join(folder, name)))
      throw new InputError(
        `shoot.json names the photo ${name}, but the folder has no such file: add it, or take its name out.`,
      );
  }
  const load = async (index: number) => {
    const name = shoot.photos[index]!;
    return decodePhotoFile({ name, bytes: await readFile(join(folder, name)) });
  };
  const { report, evidence } = await checkShoot(plan, shoot, load, showProgress, earlierMarks ? { earlierMarks } : {});
  endProgress();
  console.log(reportTable(plan, report));
  if (reportFile) {
    await mkdir(dirname(reportFile), { recursive: true });
    await writeFile(reportFile, reportToText(report));
  }
  if (pictures) await writePictures(pictures, plan, report, evidence, (name) => readFile(join(folder, name)));
  return exitCodes[report.verdict];
}

function readArguments(args: string[]): { folder: string; reportFile?: string; pictures?: string } {
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
  const [folder, ...more] = parsed.positionals;
  if (!folder || more.length > 0)
    throw new InputError(`Name one folder with plan.json, shoot.json and the photos: ${usage}`);
  return {
    folder,
    ...(parsed.values.report ? { reportFile: parsed.values.report } : {}),
    ...(parsed.values.pictures ? { pictures: parsed.values.pictures } : {}),
  };
}

async function readText(folder: string, name: string): Promise<string> {
  const found = await stat(folder).catch(() => undefined);
  if (!found) throw new InputError(`There is no folder ${folder}: check the path.`);
  try {
    return await readFile(join(folder, name), 'utf8');
  } catch {
    throw new InputError(`${name} was not found in ${folder}: put the plan, the shoot and the photos into one folder.`);
  }
}

async function readReport(folder: string, name: string): Promise<Report> {
  return parseReport(await readText(folder, name), basename(name));
}

const onTerminal = process.stderr.isTTY === true;

function showProgress({ stage, done }: { stage: string; done: number }): void {
  if (onTerminal) process.stderr.write(`\r\u001b[K${Math.round(100 * done)} %  ${stage}`);
}

function endProgress(): void {
  if (onTerminal) process.stderr.write('\r\u001b[K');
}
