import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium as playwright } from 'playwright-core';
import type { TestProject } from 'vitest/node';
import { distFolder } from './dist_folder.ts';
import { chromiumOptions } from './chromium.ts';
import { makeCheckedSample } from './checked_sample.ts';
import { serveFolder } from './static_server.ts';

declare module 'vitest' {
  interface ProvidedContext {
    /** where the built app is served, and the shared browser's own address */
    appUrl: string;
    browserAddress: string;
    /** where made-up files are put, gone when all tests are done: their processes are ended from outside */
    filesFolder: string;
  }
}

/**
 * One server and one browser for all test files; each test has a browser context of its own. `checked-sample.zip` on
 * that server is a build with its check, made by the app when first asked for.
 */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const browser = await playwright.launchServer(await chromiumOptions());
  let checked: Promise<Buffer> | undefined;
  const files = mkdtempSync(join(tmpdir(), 'prewrap-files-'));
  const sample = () => makeCheckedSample(browser.wsEndpoint(), server.url, files);
  const made = { 'checked-sample.zip': () => (checked ??= sample()) };
  const server = await serveFolder(distFolder, { made });
  project.provide('appUrl', server.url);
  project.provide('browserAddress', browser.wsEndpoint());
  project.provide('filesFolder', files);
  return async () => {
    await browser.close();
    await server.stop();
    rmSync(files, { recursive: true });
  };
}
