import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Browser } from 'playwright-core';
import { runCheck, sampleFolder } from './app_page.ts';
import { distFolder } from './dist_folder.ts';
import { sharedBrowser } from './app_page.ts';
import { chooseFiles, openOnePhoto } from './sample_build.ts';
import { serveFolder } from './static_server.ts';

let browser: Browser;
beforeAll(async () => {
  browser = await sharedBrowser();
});
afterAll(() => browser.close());

test('once a check was begun the app opens and checks with no server', async () => {
  const server = await serveFolder(distFolder);
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(server.url);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await expect.poll(() => page.evaluate(() => navigator.serviceWorker.controller !== null)).toBe(true);
  await openOnePhoto(page);
  await page.getByRole('button', { name: 'Check the rod' }).click();
  // the photos are being measured: all of the measuring part was fetched
  const bar = page.getByRole('progressbar');
  await expect.poll(async () => Number(await bar.getAttribute('value')), { timeout: 120_000 }).toBeGreaterThan(15);
  await page.getByRole('button', { name: 'Stop' }).click();
  await page.getByText('The check was stopped. Nothing was lost.').waitFor();
  await server.stop();
  await page.reload();
  const answer = await runCheck(page);
  expect(answer).toMatch(/guide/);
  await page.reload();
  await page.getByRole('status', { name: 'Is it ready' }).getByText(answer).waitFor();
  await context.close();
});

test('the shell works offline before the measuring part was ever fetched, and says what is missing', async () => {
  const server = await serveFolder(distFolder);
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(server.url);
  await page.evaluate(() => navigator.serviceWorker.ready);
  await server.stop();
  await page.reload();
  await page.getByRole('button', { name: 'New build' }).click();
  await page.getByRole('link', { name: /^Photos/ }).waitFor();
  await page.getByRole('link', { name: 'All builds' }).click();
  await page.getByRole('button', { name: 'Open the sample' }).click();
  await page.getByText('The sample could not be fetched. It needs the network the first time.').waitFor();
  const files = ['plan.json', 'photos/01.jpg'].map((name) => join(sampleFolder, name));
  await chooseFiles(page, 'Open plan and photos', files);
  await page.getByRole('button', { name: 'Check the rod' }).click();
  await page.getByText('The measuring part has not been fetched yet; it needs the network the first time.').waitFor();
  await context.close();
});
