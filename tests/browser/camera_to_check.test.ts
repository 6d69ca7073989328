import { mkdtempSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { appUnderTest, checkTime, desk, sampleFolder } from './app_page.ts';
import { writeCameraVideo } from './camera_video.ts';
import { chooseFiles, fillSampleReadings } from './sample_build.ts';

const folder = mkdtempSync(join(tmpdir(), 'prewrap-walk-'));
const video = join(folder, 'walk.y4m');

// where the sample's guides were set when its pictures were made, mm from the tip
const setAt = { G1: 91.5, G2: 188.27, G3: 317.25, G4: 444.82, G5: 591.84, G6: 757.89, G7: 948.12 };

// a walk along the sample rod, each photo held for five seconds, over and over; of these five each is needed to cover
// the mat twice, so that wherever it begins the same are taken
beforeAll(async () => {
  const photos = ['01.jpg', '02.jpg', '04.jpg', '05.jpg', '06.jpg'];
  await writeCameraVideo(
    video,
    photos.flatMap((name) => Array.from({ length: 5 }, () => join(sampleFolder, 'photos', name))),
  );
});
afterAll(() => rm(folder, { recursive: true }));
const app = appUnderTest([
  '--use-fake-device-for-media-stream',
  `--use-file-for-fake-video-capture=${video}`,
  '--use-fake-ui-for-media-stream',
]);

test('a walk along the rod takes itself, and leads to every guide’s place in millimetres', async () => {
  const page = await app.open(await app.newContext({ locale: 'en-GB', viewport: desk }));
  const goToStep = (step: string) =>
    page
      .getByRole('navigation', { name: 'Steps of this build' })
      .getByRole('link', { name: new RegExp(`^${step}`) })
      .click();
  await chooseFiles(page, 'Open plan and photos', join(sampleFolder, 'plan.json'));
  await fillSampleReadings(page);

  await goToStep('Photos');
  await page.getByRole('button', { name: 'Guide me with the camera' }).click();
  // not a tap from here to the verdict
  const dialog = page.getByRole('dialog', { name: 'Camera' });
  await dialog.getByText('The walk is complete, with').waitFor({ timeout: checkTime });
  const answer = page.getByRole('status', { name: 'Is it ready' });
  await answer.waitFor({ timeout: checkTime });
  const verdict = (await answer.getByRole('heading').innerText()).trim();
  await goToStep('Photos');
  const rows = page.getByRole('list', { name: 'Photos of this shoot' }).getByRole('listitem');
  await rows.first().waitFor();
  // on a slow machine the video may have gone round once more before what it showed last is looked at
  const taken = await rows.count();
  expect(taken).toBeGreaterThanOrEqual(5);
  expect(taken).toBeLessThanOrEqual(6);
  await goToStep('Check');
  for (const [id, place] of Object.entries(setAt)) {
    await page.locator('.item-head').filter({ hasText: id }).click();
    const facts = await page.locator('.item-open').filter({ hasText: id }).locator('.facts').innerText();
    const found = Number(/Found\s+([\d.]+) mm, give or take/.exec(facts)?.[1]);
    expect(Math.abs(found - place), `${id} found at ${found}`).toBeLessThan(0.6);
  }
  expect(verdict).toMatch(/^Move (two|three) guides\.$/);
});
