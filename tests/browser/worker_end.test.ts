import { cp, mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { appUnderTest } from './app_page.ts';
import { openOnePhoto } from './sample_build.ts';
import { distFolder } from './dist_folder.ts';
import { serveFolder } from './static_server.ts';

const app = appUnderTest();

test('a check whose worker ends without a word is told within five seconds, and can be run again', async () => {
  const page = await app.open();
  await openOnePhoto(page);
  await page.getByRole('button', { name: 'Check the rod' }).click();
  const bar = page.getByRole('progressbar');
  await expect.poll(async () => Number(await bar.getAttribute('value')), { timeout: 120_000 }).toBeGreaterThan(0.1);
  const worker = page.workers().find((one) => one.url().includes('check.worker-'))!;
  await worker.evaluate(() => self.close()).catch(() => undefined);
  await page.getByText('it ended without a word').waitFor({ timeout: 5000 });
  expect(await page.getByRole('button', { name: /^Check/ }).isEnabled()).toBe(true);
});

test('where the server has moved on to another version before the measuring was fetched, the check says to reload', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'prewrap-deploy-'));
  await cp(distFolder, folder, { recursive: true });
  const server = await serveFolder(folder);
  const page = await (await app.newContext({ serviceWorkers: 'block' })).newPage();
  await page.goto(server.url);
  await openOnePhoto(page);
  for (const name of await readdir(join(folder, 'assets')))
    if (name.startsWith('check.worker-')) await rm(join(folder, 'assets', name));
  await page.getByRole('button', { name: 'Check the rod' }).click();
  await page.getByText('A newer version of Prewrap is on the server').waitFor();
  await page.reload();
  await page.getByText('Saved', { exact: true }).waitFor();
  await server.stop();
  await rm(folder, { recursive: true });
  app.complaints.splice(0);
});
