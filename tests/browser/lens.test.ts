import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { lensProfileToText, parseLensProfile } from '../../src/adjust/lens_file.ts';
import { fieldGridOf, fieldSize } from '../../src/geometry/lens_field.ts';
import { heldCamera } from '../../src/photo/camera_facts.ts';
import { inspectPhotoFile } from '../../src/photo/inspect_photo.ts';
import { appUnderTest, checkTime, downloaded, runCheck, sampleFolder } from './app_page.ts';
import { axeProblems } from './axe_problems.ts';
import { chooseFiles, openOnePhoto } from './sample_build.ts';

const app = appUnderTest();
const photo = (name: string) => join(sampleFolder, 'photos', name);

/** What is said of the sample's own camera: a usual lens, known loosely. */
async function looseLens(name: string) {
  const { facts } = inspectPhotoFile({ name: '02.jpg', bytes: await readFile(photo('02.jpg')) });
  const { camera } = heldCamera(facts.cameraKey!)!;
  const [width, height] = / (\d+) x (\d+)$/.exec(camera)!.slice(1).map(Number) as [number, number];
  const grid = fieldGridOf(width, height);
  const sigmas = [0.02 * facts.focalPrior!, 20, 20, 0.1, 0.1, 0.001, 0.001, 0.05];
  const n = 8 + 2 * fieldSize(grid);
  const covariance = new Float64Array(n * n);
  for (let i = 0; i < n; i++) covariance[i * (n + 1)] = (sigmas[i] ?? 0.4) ** 2;
  const values = [facts.focalPrior!, (width - 1) / 2, (height - 1) / 2, ...Array.from({ length: n - 3 }, () => 0)];
  return lensProfileToText({ name, camera, photos: 12, corner: 0.12, grid, values, covariance });
}
const file = (name: string, text: string) => ({ name, mimeType: 'application/json', buffer: Buffer.from(text) });
const unfold = (page: Page) => page.getByText('Your cameras', { exact: true }).click();
const lenses = (page: Page) => page.getByRole('region', { name: 'Your cameras' });

test(
  'a camera’s lens is opened, named, used by a check, saved, and thrown away; too few photos make none',
  async () => {
    const page = await app.open(await app.newContext({ locale: 'en-GB' }));
    await unfold(page);
    await chooseFiles(page, 'Make a lens from photos', ['01.jpg', '02.jpg'].map(photo));
    await page.getByText('A lens is made from 8 to 40 photos of two pages of the mat, and these are 2').waitFor();
    await chooseFiles(page, 'Open a lens file', file('lens.json', '{"schema":"prewrap.lens/1"}'));
    await page.getByText('lens.json, name: is missing; add it.').waitFor();
    expect(await lenses(page).getByRole('listitem').count()).toBe(0);

    await chooseFiles(page, 'Open a lens file', file('lens.json', await looseLens('Sample phone')));
    const name = lenses(page).getByRole('textbox', { name: 'Name of Sample phone' });
    await name.fill('Bench phone');
    await name.press('Enter');
    await lenses(page).getByRole('textbox', { name: 'Name of Bench phone' }).waitFor();
    expect(await axeProblems(page)).toEqual([]);
    await page.reload();
    await unfold(page);
    const saving = page.waitForEvent('download');
    await lenses(page).getByRole('button', { name: 'Save as a file' }).click();
    const saved = await saving;
    expect(saved.suggestedFilename()).toBe('bench-phone.lens.json');
    expect(parseLensProfile((await downloaded(saved)).toString()).name).toBe('Bench phone');

    await openOnePhoto(page);
    await runCheck(page);
    await page.getByText('The kept lens “Bench phone” was used.').waitFor();

    await page
      .getByRole('link', { name: /builds/i })
      .first()
      .click();
    await unfold(page);
    await lenses(page).getByRole('button', { name: 'Throw away: Bench phone' }).click();
    await page.getByRole('button', { name: 'Throw it away' }).click();
    await page.getByText('No camera’s lens is kept yet.').waitFor();
  },
  2 * checkTime,
);
