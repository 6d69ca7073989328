import { expect, test } from 'vitest';
import { workshopName } from './chromium.ts';
import { appUnderTest, openSample, runCheck } from './app_page.ts';

const app = appUnderTest();

test('over plain http on the local network a rod is checked all the same', async () => {
  const page = await (await app.newContext()).newPage();
  await page.goto(app.url.replace('localhost', workshopName));
  expect(await page.evaluate(() => window.isSecureContext)).toBe(false);
  await openSample(page);
  expect(await runCheck(page)).toBe('Move three guides.');
  await page.reload();
  await page.getByRole('status', { name: 'Is it ready' }).waitFor();
});
