import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { inject } from 'vitest';
import { sampleFolder } from './app_page.ts';
import { type MadeFile, onDisk } from './files_on_disk.ts';
import { plannedSample } from './made_build.ts';

type Files = string | MadeFile | readonly string[] | readonly MadeFile[];

/** Clicks the button that asks for files and hands them over. */
export async function chooseFiles(page: Page, button: string, files: Files): Promise<void> {
  const chooser = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: button }).click();
  const all = [files].flat() as (string | MadeFile)[];
  // the bench, which vitest does not run, hands over paths alone
  const paths = await Promise.all(
    all.map(async (file) => (typeof file === 'string' ? file : onDisk(file, inject('filesFolder')))),
  );
  await (await chooser).setFiles(paths);
}

/** What is read off the sample's mat, filled in at the step that asks for it. */
export async function fillSampleReadings(page: Page): Promise<void> {
  await page.getByText('My mat has two check bars').click();
  for (const [label, text] of [
    ['Bar along the mat', '100'],
    ['Bar across the mat', '100'],
    ['Span', '1418'],
    ['Grip’s diameter', '26'],
  ] as const)
    await page.getByLabel(label, { exact: true }).fill(text);
}

export const openZip = (page: Page, buffer: Buffer, name = 'rod.zip'): Promise<void> =>
  chooseFiles(page, 'Open plan and photos', { name, mimeType: 'application/zip', buffer });

/** The sample's plan with no place on it, as a file: photos are looked at, and nothing is measured meanwhile. */
export async function placelessPlan() {
  const plan = JSON.parse(await readFile(join(sampleFolder, 'plan.json'), 'utf8')) as object;
  const text = JSON.stringify({ ...plan, positions: [] });
  return { name: 'plan.json', mimeType: 'application/json', buffer: Buffer.from(text) };
}

/**
 * Opens the sample build with the check that the app made of it once for all tests. Its first photo is stored turned;
 * its answer is "Move three guides."
 */
export async function openCheckedSample(page: Page): Promise<void> {
  const made = await fetch(new URL('checked-sample.zip', inject('appUrl')));
  if (!made.ok) throw new Error(await made.text());
  await openZip(page, Buffer.from(await made.arrayBuffer()));
  await page.getByRole('status', { name: 'Is it ready' }).waitFor();
}

/** Opens the sample's plan with its first photo, for tests that need a check to run to its end, whatever it says. */
export const openOnePhoto = (page: Page): Promise<void> => openSomePhotos(page, ['01.jpg']);

/** Opens the sample's plan with its first two photos, for tests that need photos which overlap. */
export const openShortWalk = (page: Page): Promise<void> => openSomePhotos(page, ['01.jpg', '02.jpg']);

async function openSomePhotos(page: Page, photos: readonly string[]): Promise<void> {
  const shoot = JSON.parse(await readFile(join(sampleFolder, 'shoot.json'), 'utf8')) as object;
  await chooseFiles(page, 'Open plan and photos', [
    { name: 'plan.json', mimeType: 'application/json', buffer: await readFile(join(sampleFolder, 'plan.json')) },
    { name: 'shoot.json', mimeType: 'application/json', buffer: Buffer.from(JSON.stringify({ ...shoot, photos })) },
    ...(await Promise.all(
      photos.map(async (name) => ({
        name,
        mimeType: 'image/jpeg',
        buffer: await readFile(join(sampleFolder, 'photos', name)),
      })),
    )),
  ]);
  await page.getByRole('button', { name: 'Check the rod' }).waitFor();
  await page.getByText('Saved', { exact: true }).waitFor();
}

/** Opens the sample's plan with its mat measured and no photo, at one of its steps: no photo is read meanwhile. */
export async function openPlanned(page: Page, step: 'Plan' | 'Mat' | 'Check'): Promise<void> {
  await openZip(page, await plannedSample());
  await page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: new RegExp(`^${step}`) })
    .click();
  await page.getByRole('heading', { level: 1, name: step }).waitFor();
}
