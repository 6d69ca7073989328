import { join } from 'node:path';
import { expect, test } from 'vitest';
import { appUnderTest, checkTime, sampleFolder } from './app_page.ts';
import { chooseFiles, openCheckedSample } from './sample_build.ts';

const app = appUnderTest();

test('after another round of photos the new check stands beside the one before, and both stay', async () => {
  const page = await app.open();
  await openCheckedSample(page);
  await page.getByRole('button', { name: 'Moved something? Take new photos' }).click();
  await page.getByRole('heading', { level: 1, name: 'Photos' }).waitFor();
  // the second round is shorter: it reaches from the tip to G4
  await chooseFiles(
    page,
    'Choose photos',
    ['01.jpg', '02.jpg'].map((name) => join(sampleFolder, 'photos', name)),
  );
  await page.getByText('02.jpg').first().waitFor();
  await page.getByRole('link', { name: /^Check/ }).click();
  await page.getByText('An earlier answer, for another plan or other photos:').waitFor();
  await page.getByRole('button', { name: 'Check again' }).click();
  const comparison = page.getByRole('region', { name: 'Against the check before' });
  await comparison.waitFor({ timeout: checkTime });
  // nothing was moved between the two rounds
  expect(await comparison.innerText()).toContain('G2 and G3 are still to be put right.');
  expect(await comparison.getByRole('row').count()).toBe(8);
  const history = page.getByRole('region', { name: 'Checks of this build' }).getByRole('button');
  expect(await history.count()).toBe(2);
  await history.nth(1).click();
  await page.getByText('An earlier answer, for another plan or other photos:').waitFor();
});
