import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as z from 'zod/mini';
import { InputError } from '../plan/input_error.ts';
import { parsePlan } from '../plan/files/plan_file.ts';
import { parseShoot } from '../plan/files/shoot_file.ts';
import type { Report } from '../verdict/report.ts';
import { parseReport } from '../verdict/report_file.ts';
import { openOutput } from './outputs.ts';
import { openSource } from './shoot_source.ts';
import { shownName } from '../plan/shown_name.ts';

/** rack.json beside the reports of a rack: of what each report speaks, so that a run that was stopped goes on. */
const rackSchema = z.object({
  schema: z.literal('prewrap.rack/1'),
  builds: z.array(
    z.object({
      /** the folder or zip, by its whole path */
      source: z.string(),
      /** of plan, shoot, photos and earlier marks, as they were checked */
      fingerprint: z.string(),
      /** the report's file, beside this one */
      report: z.string().check(z.regex(/^[^/\\]+\.json$/)),
    }),
  ),
});

/** A report that was written, and what it speaks of. */
export type Remembered = z.infer<typeof rackSchema>['builds'][number];

const fileName = 'rack.json';

/**
 * What an earlier run left in a folder; nothing where there was none. Throws InputError for a file that is not ours.
 */
export async function readRack(folder: string): Promise<Remembered[]> {
  const text = await readFile(join(folder, fileName), 'utf8').catch(() => undefined);
  if (text === undefined) return [];
  try {
    return rackSchema.parse(JSON.parse(text)).builds;
  } catch {
    throw new InputError(
      `${shownName(join(folder, fileName))} is damaged or no rack of ours: name another folder for the reports.`,
    );
  }
}

export async function writeRack(folder: string, builds: readonly Remembered[]): Promise<void> {
  const output = await openOutput(join(folder, fileName));
  await output.write(`${JSON.stringify({ schema: 'prewrap.rack/1', builds }, null, 1)}\n`);
}

/**
 * A build's title, and what stands for its files' whole content and for what is kept beside them (`kept`: its texts).
 * Throws InputError as the check itself would.
 */
export async function fingerprintOf(
  path: string,
  kept: readonly string[] = [],
): Promise<{ title: string; fingerprint: string }> {
  const source = await openSource(path);
  const planText = await source.text('plan.json');
  const shootText = await source.text('shoot.json');
  const { title } = parsePlan(planText, 'plan.json');
  const { photos, earlierMarks } = parseShoot(shootText, 'shoot.json');
  const hash = createHash('sha256').update(JSON.stringify([planText, shootText, ...kept]));
  for (const name of [...photos, ...(earlierMarks ? [earlierMarks] : [])]) {
    const content = createHash('sha256').update(await source.bytes(name));
    hash.update(JSON.stringify([name, content.digest('hex')]));
  }
  return { title, fingerprint: hash.digest('hex') };
}

/** A report as it was written; undefined where it is gone or spoilt. */
export async function readReport(file: string): Promise<Report | undefined> {
  const text = await readFile(file, 'utf8').catch(() => undefined);
  if (text === undefined) return undefined;
  try {
    return parseReport(text, file);
  } catch (error) {
    if (error instanceof InputError) return undefined;
    throw error;
  }
}
