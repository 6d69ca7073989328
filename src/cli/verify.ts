import { parseArgs } from 'node:util';
import type { LensProfile } from '../adjust/lens_profile.ts';
import { checkShoot } from '../check/check_shoot.ts';
import { photosAside } from '../photo/photos_aside.ts';
import { InputError } from '../plan/input_error.ts';
import { parsePlan } from '../plan/files/plan_file.ts';
import { planOnMat } from '../plan/pieces/pieces.ts';
import { parseShoot } from '../plan/files/shoot_file.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { Report } from '../verdict/report.ts';
import { parseReport, reportToText } from '../verdict/report_file.ts';
import { reportTable } from '../verdict/report_table.ts';
import { finderWeights } from '../vision/finder/weights_node.ts';
import { loadOpenCv } from '../vision/opencv.ts';
import { unusable } from './exit_codes.ts';
import { readLens } from './lens.ts';
import { loadAhead } from './load_ahead.ts';
import { readMat } from './mat.ts';
import { openFolder, openOutput } from './outputs.ts';
import { TemporaryFile } from './temporary_file.ts';
import { writePictures } from './pictures.ts';
import { endProgress, showProgress } from './progress.ts';
import { checkRack, type RackOptions } from './rack.ts';
import { finderAndHands } from './second_thread.ts';
import { openSource, type ShootSource } from './shoot_source.ts';
import { oneOfTwo, shownName } from '../plan/shown_name.ts';

const usage =
  'npm run --silent verify -- FOLDER [--report FILE] [--pictures FOLDER] [--lens FILE] [--mat FILE] [--threads NUMBER]';
const rackUsage =
  'npm run --silent verify -- FOLDER... [--reports FOLDER] [--csv FILE] [--jobs NUMBER] [--lens FILE] [--mat FILE] [--threads NUMBER]';

const exitCodes = { ready: 0, fix: 1, reshoot: 2 } as const;

/**
 * Checks the shoot in a folder or an exported zip (plan.json, shoot.json and the photos): prints a table, writes the
 * report and the pictures where asked; of several, a rack, prints one table for all. Answers the exit code: 0 ready, 1
 * fix, 2 reshoot, 3 input that cannot be used or an output that cannot be written.
 */
export async function verifyCommand(args: string[]): Promise<number> {
  try {
    const asked = readArguments(args);
    return await ('sources' in asked ? verifyRack(asked) : verify(asked));
  } catch (error) {
    endProgress();
    if (!(error instanceof InputError)) throw error;
    console.error(error.message);
    return unusable;
  }
}

async function verifyRack({ sources, ...options }: RackArguments): Promise<number> {
  const code = await checkRack(sources, {
    ...options,
    onDone: ({ name }, done, all) => showProgress({ stage: name, done: done / all }),
  });
  endProgress();
  return code;
}

async function verify({
  source: path,
  reportFile,
  pictures,
  lens,
  mat: matFile,
  threads,
}: VerifyArguments): Promise<number> {
  const source = await openSource(path);
  const whole = parsePlan(await source.text('plan.json'), 'plan.json');
  const shoot = parseShoot(await source.text('shoot.json'), 'shoot.json');
  const plan = planOnMat(whole, shoot);
  const earlier = shoot.earlierMarks;
  const earlierMarks = earlier ? parseReport(await source.text(earlier), earlier) : undefined;
  const lenses = await Promise.all(lens.map(readLens));
  const mat = matFile === undefined ? undefined : await readMat(matFile);
  await refuseLostPhotos(shoot, source);
  if (pictures) await openFolder(pictures);
  const output = reportFile ? await openOutput(reportFile) : undefined;
  const aside = new TemporaryFile();
  // other threads decode and compile while this one makes the finder's networks
  const load = loadAhead(shoot.photos, (name) => source.bytes(name));
  // what goes wrong with OpenCV is told when it is asked for
  loadOpenCv().catch(() => {});
  const { finder, hands, letGo } = await finderAndHands(await finderWeights(), shoot.photos.length, threads);
  try {
    const { report, evidence } = await checkShoot(plan, shoot, load, showProgress, {
      finder,
      hands,
      lenses,
      ...photosAside(aside),
      ...(mat && { mat }),
      ...(earlierMarks && { earlierMarks }),
    });
    endProgress();
    console.log(reportTable(plan, report));
    for (const sentence of otherCameras(lenses, report)) console.log(`${sentence}\n`);
    await output?.write(reportToText(report));
    if (pictures) await writePictures(pictures, plan, report, evidence(), (name) => source.bytes(name));
    return exitCodes[report.verdict];
  } finally {
    letGo();
    aside.close();
    await output?.leave();
  }
}

/** Throws InputError for a photo that is not there, or that is there once and named twice. */
async function refuseLostPhotos(shoot: Shoot, source: ShootSource): Promise<void> {
  const names = new Map<string, string>();
  for (const name of shoot.photos) {
    const identity = await source.identity(name);
    if (identity === undefined)
      throw new InputError(
        `shoot.json names the photo ${shownName(name)}, but there is no such file beside it: add it, or take its name out.`,
      );
    const before = names.get(identity);
    if (before !== undefined)
      throw new InputError(
        `shoot.json names one photo twice, as ${shownName(before, oneOfTwo)} and as ${shownName(name, oneOfTwo)}, and counting it twice would feign certainty: keep it once.`,
      );
    names.set(identity, name);
  }
}

/** A lens named for photos of another camera has no part in the report. */
const otherCameras = (lenses: readonly LensProfile[], { profiles = [] }: Report): string[] =>
  lenses
    .filter(({ name }) => !profiles.some((profile) => profile.kind === 'lens' && profile.name === name))
    .map(
      ({ name, camera }) =>
        `The kept lens “${shownName(name, oneOfTwo)}” was not used: no photo is from its camera (${shownName(camera, oneOfTwo)}).`,
    );

interface VerifyArguments {
  mat?: string;
  /** how many threads the check may use; one a core when absent */
  threads?: number;
  lens: readonly string[];
  source: string;
  reportFile?: string;
  pictures?: string;
}

interface RackArguments extends Pick<RackOptions, 'reports' | 'csv' | 'jobs' | 'threads' | 'lens' | 'mat'> {
  sources: readonly string[];
}

const options = {
  report: { type: 'string' },
  pictures: { type: 'string' },
  reports: { type: 'string' },
  csv: { type: 'string' },
  jobs: { type: 'string' },
  threads: { type: 'string' },
  lens: { type: 'string', multiple: true },
  mat: { type: 'string' },
} as const;

/** What is asked for: one build, or a rack where there are several or an option of a rack is given. */
function readArguments(args: string[]): VerifyArguments | RackArguments {
  let parsed: {
    values: { [name in Exclude<keyof typeof options, 'lens'>]?: string } & { lens?: string[] };
    positionals: string[];
  };
  try {
    parsed = parseArgs({ args, allowPositionals: true, options });
  } catch {
    throw new InputError(
      `The options are --report FILE, --pictures FOLDER, --lens FILE, --mat FILE and --threads NUMBER, for several builds --reports FOLDER, --csv FILE, --jobs NUMBER, --lens FILE, --mat FILE and --threads NUMBER (usage: ${usage} or ${rackUsage}).`,
    );
  }
  const { report, pictures, reports, csv, jobs, threads, lens = [], mat } = parsed.values;
  const [source, ...more] = parsed.positionals;
  if (!source) throw new InputError(`Name a folder (or zip) with plan.json, shoot.json and the photos: ${usage}`);
  const ofRack = more.length > 0 || reports !== undefined || csv !== undefined || jobs !== undefined;
  if (threads !== undefined && !/^[1-9]\d?$/.test(threads))
    throw new InputError(`--threads takes how many threads a check may use, 1 to 99: ${usage}`);
  if (!ofRack)
    return {
      source,
      lens,
      ...(mat ? { mat } : {}),
      ...(threads ? { threads: Number(threads) } : {}),
      ...(report ? { reportFile: report } : {}),
      ...(pictures ? { pictures } : {}),
    };
  if (report !== undefined || pictures !== undefined)
    throw new InputError(`--report and --pictures are for one build; several take --reports FOLDER: ${rackUsage}`);
  if (jobs !== undefined && !/^[1-9]\d?$/.test(jobs))
    throw new InputError(`--jobs takes how many checks may run side by side, 1 to 99: ${rackUsage}`);
  return {
    sources: parsed.positionals,
    lens,
    ...(mat ? { mat } : {}),
    ...(reports ? { reports } : {}),
    ...(csv ? { csv } : {}),
    ...(jobs ? { jobs: Number(jobs) } : {}),
    ...(threads ? { threads: Number(threads) } : {}),
  };
}
