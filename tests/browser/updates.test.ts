import { appendFile, cp, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openSample } from './app_page.ts';
import { distFolder } from './dist_folder.ts';
import { sharedBrowser } from './app_page.ts';
import { serveFolder } from './static_server.ts';

let browser: Browser;
let folder: string;
beforeAll(async () => {
  browser = await sharedBrowser();
  folder = await mkdtemp(join(tmpdir(), 'prewrap-update-'));
  await cp(distFolder, folder, { recursive: true });
});
afterAll(async () => {
  await browser.close();
  await rm(folder, { recursive: true });
});

test('a newer version is offered, not forced, and never in the middle of a check', async () => {
  // a download that goes on after Stop must not keep the newer version waiting
  const server = await serveFolder(folder, { stalls: /opencv-.*\.wasm$/ });
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(server.url);
  await expect.poll(() => page.evaluate(() => navigator.serviceWorker.controller !== null)).toBe(true);
  await openSample(page);
  await page.getByRole('button', { name: 'Check the rod' }).click();
  await page.getByRole('progressbar').waitFor();
  await expect.poll(server.stalled).toBe(1);
  // a new build is a service worker of other bytes
  await appendFile(join(folder, 'service_worker.js'), '\n// a later build\n');
  await page.evaluate(async () => (await navigator.serviceWorker.getRegistration())?.update());
  await page.getByText('A newer version of Prewrap is here.').waitFor();
  expect(await page.getByRole('button', { name: 'Reload to use it' }).count()).toBe(0);
  await page.getByRole('button', { name: 'Stop' }).click();
  const other = await context.newPage();
  await other.goto(page.url());
  await other.getByRole('button', { name: 'Check the rod' }).waitFor();
  const loaded = page.waitForEvent('load');
  await page.getByRole('button', { name: 'Reload to use it' }).click();
  await loaded;
  await page.getByRole('button', { name: 'Check the rod' }).waitFor();
  expect(await page.getByText('A newer version of Prewrap is here.').count()).toBe(0);
  // another tab is told, goes on as it is, and has everything when it reloads
  await other.getByText('Prewrap was updated in another tab, and this page is still the older one.').waitFor();
  expect(await other.getByRole('button', { name: 'Check the rod' }).isEnabled()).toBe(true);
  await other.getByRole('button', { name: 'Reload to go on' }).click();
  await other.getByRole('button', { name: 'Check the rod' }).waitFor();
  await expect.poll(() => other.getByText('Prewrap was updated in another tab').count()).toBe(0);
  await server.stop();
});
