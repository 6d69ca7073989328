import { join } from 'node:path';
import { expect, test } from 'vitest';
import { unpackBuild } from '../../src/store/archive.ts';
import { appUnderTest, downloaded, openSample, runCheck, sampleFolder } from './app_page.ts';
import { workshopName } from './chromium.ts';
import { chooseFiles, openOnePhoto, openZip } from './sample_build.ts';

const app = appUnderTest();

test('over plain http on the local network: the sample, a check, its record, zip out and in, photos, mat', async () => {
  const page = await (await app.newContext()).newPage();
  await page.goto(app.url.replace('localhost', workshopName));
  expect(await page.evaluate(() => window.isSecureContext)).toBe(false);
  await openSample(page);
  await page.getByRole('link', { name: 'All builds' }).click();
  await page.getByRole('button', { name: /^Throw away/ }).click();
  await page.getByRole('button', { name: 'Throw it away' }).click();

  await openOnePhoto(page);
  const said = await runCheck(page);
  const answer = page.getByRole('status', { name: 'Is it ready' }).getByText(said);
  await page.reload();
  await answer.waitFor();

  await page.getByRole('link', { name: /^Record/ }).click();
  expect(await page.getByRole('region', { name: 'Record of the rod' }).innerText()).toContain(said);
  const coming = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save the whole build' }).click();
  const zip = await downloaded(await coming);
  expect(unpackBuild(zip).photos.size).toBe(1);

  await page.getByRole('link', { name: 'All builds' }).click();
  await page.getByRole('button', { name: /^Throw away/ }).click();
  await page.getByRole('button', { name: 'Throw it away' }).click();
  await page.getByRole('heading', { name: 'No builds yet' }).waitFor();
  await openZip(page, zip);
  await answer.waitFor();
  await page.getByRole('button', { name: /^G3/ }).click();
  await expect.poll(() => page.locator('.item-open .close-up').count()).toBeGreaterThan(0);

  await page.getByRole('link', { name: 'All builds' }).click();
  await page.getByRole('button', { name: 'New build' }).click();
  await page.getByRole('link', { name: /^Mat/ }).click();
  const sheets = page.waitForEvent('download');
  await page.getByRole('button', { name: /PDF/ }).click();
  expect((await downloaded(await sheets)).subarray(0, 5).toString('latin1')).toBe('%PDF-');
  await page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: /^Photos/ })
    .click();
  await page.getByText('The guided view needs https').waitFor();
  await chooseFiles(page, 'Choose photos', [join(sampleFolder, 'photos/01.jpg')]);
  const row = page.getByRole('list', { name: 'Photos of this shoot' }).getByRole('listitem');
  await expect.poll(() => row.innerText(), { timeout: 120_000 }).toContain('Good');
  await page.getByText('Saved', { exact: true }).waitFor();
});
