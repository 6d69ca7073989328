import { join } from 'node:path';
import { expect, test } from 'vitest';
import { appUnderTest, desk, sampleFolder } from './app_page.ts';
import { problemsEverywhere } from './axe_problems.ts';
import { chooseFiles } from './sample_build.ts';
import { mp4Of } from './mp4_video.ts';
import { webmOf } from './webm_video.ts';

const app = appUnderTest();

test('frames are chosen out of a WebM and a MOV, the choice is changed, and they become photos of the build', async () => {
  const page = await app.open(await app.newContext({ locale: 'en-GB', viewport: desk, bypassCSP: true }));
  const photos = (...names: string[]) => names.map((name) => join(sampleFolder, 'photos', name));
  const film = await webmOf(photos('01.jpg', '01.jpg', '02.jpg'), { width: 1920, height: 1080, framesPerSecond: 4 });
  // H.264, as phones film; whole macroblocks high
  const size = { width: 1920, height: 1088, framesPerSecond: 4 };
  const back = await mp4Of(photos('04.jpg', '05.jpg'), { ...size, brand: 'qt  ' });
  await chooseFiles(page, 'Open plan and photos', [join(sampleFolder, 'plan.json')]);
  await page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: /^Photos/ })
    .click();
  await chooseFiles(page, 'Choose photos', [
    { name: 'spoilt.mp4', mimeType: 'video/mp4', buffer: Buffer.from('no video at all, whatever its name says') },
  ]);
  const dialog = page.getByRole('dialog', { name: 'Frames out of a video' });
  await dialog.getByText('spoilt.mp4 can’t be read as a video here').waitFor();
  await dialog.getByRole('button', { name: 'Done' }).click();

  await chooseFiles(page, 'Choose photos', [
    { name: 'walk.webm', mimeType: 'video/webm', buffer: film },
    { name: 'back.mov', mimeType: 'video/quicktime', buffer: back },
  ]);
  await dialog.getByText(/frames are chosen\./).waitFor({ timeout: 200_000 });
  expect(await dialog.innerText()).toContain('Pictures from here are 1920 pixels long');
  const frames = dialog.getByRole('list', { name: 'Frames that are chosen' }).getByRole('listitem');
  const count = await frames.count();
  expect(count).toBeGreaterThanOrEqual(3);
  expect(await frames.first().innerText()).toMatch(/Frame at 0:0\d\.\d/);
  expect(await frames.last().innerText()).toContain('back.mov');
  expect(await problemsEverywhere(page)).toEqual([]);

  const time = async () => /Frame at (\S+)/.exec(await frames.first().innerText())![1];
  const before = await time();
  await frames
    .first()
    .getByRole('button', { name: /^(Later|Earlier)/, disabled: false })
    .first()
    .click();
  await expect.poll(time).not.toBe(before);
  await frames
    .nth(1)
    .getByRole('button', { name: /^Take out/ })
    .click();
  await frames.nth(1).getByText('Taken out').waitFor();
  await dialog.getByRole('button', { name: `Use these ${count - 1}` }).click();

  const rows = page.getByRole('list', { name: 'Photos of this shoot' }).getByRole('listitem');
  await expect.poll(() => rows.count(), { timeout: 60_000 }).toBe(count - 1);
  await expect.poll(() => rows.first().innerText(), { timeout: 60_000 }).toMatch(/walk-0m0\d\.\ds\.jpg\s+Will do/);
  await expect.poll(() => dialog.count()).toBe(0);
});
