import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { parseLensProfile } from '../../src/adjust/lens_file.ts';
import { appUnderTest, downloaded, sampleFolder } from './app_page.ts';
import { axeProblems } from './axe_problems.ts';
import { looseLens } from './loose_lens.ts';
import { chooseFiles } from './sample_build.ts';

const app = appUnderTest();
const photo = (name: string) => join(sampleFolder, 'photos', name);

const unfold = (page: Page) => page.getByText('Your cameras', { exact: true }).click();
const lenses = (page: Page) => page.getByRole('region', { name: 'Your cameras' });

test('a camera’s lens is opened, named, saved, and thrown away; too few photos make none', async () => {
  const page = await app.open(await app.newContext({ locale: 'en-GB' }));
  await unfold(page);
  await chooseFiles(page, 'Make a lens from photos', ['01.jpg', '02.jpg'].map(photo));
  await page.getByText('A lens is made from 8 to 40 photos of two pages of the mat, and these are 2').waitFor();
  await chooseFiles(page, 'Open a lens file', {
    name: 'lens.json',
    mimeType: 'application/json',
    buffer: Buffer.from('{"schema":"prewrap.lens/1"}'),
  });
  await page.getByText('lens.json, name: is missing; add it.').waitFor();
  expect(await lenses(page).getByRole('listitem').count()).toBe(0);

  await chooseFiles(page, 'Open a lens file', await looseLens('Sample phone'));
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

  await lenses(page).getByRole('button', { name: 'Throw away: Bench phone' }).click();
  await page.getByRole('button', { name: 'Throw it away' }).click();
  await page.getByText('No camera’s lens is kept yet.').waitFor();
});
