import { fileURLToPath } from 'node:url';
import { type Browser, type BrowserContext, chromium as playwright, type Download, type Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, inject } from 'vitest';
import { launchChromium } from './chromium.ts';
import type {} from './shared.ts';

export const phone = { width: 390, height: 844 };
export const desk = { width: 1280, height: 800 };

export const sampleFolder = fileURLToPath(new URL('../../fixtures/sample', import.meta.url));

export const sharedBrowser = (): Promise<Browser> => playwright.connect(inject('browserAddress'));

/** The built app on a server and in a browser, for the tests of one file; each test starts with an empty browser. */
export interface AppUnderTest {
  url: string;
  browser: Browser;
  /** what the browser complained of on any page: scripts, policy, failed requests */
  complaints: string[];
  newContext: (options?: Parameters<Browser['newContext']>[0]) => Promise<BrowserContext>;
  open: (context?: BrowserContext) => Promise<Page>;
  /**
   * The file's one page with these options, back at the list of builds: for tests that need no empty browser, each of
   * which begins a build of its own. After a test that failed there is a new one.
   */
  openAgain: (options?: Parameters<Browser['newContext']>[0]) => Promise<Page>;
}

/** What Playwright says where a context lets no service worker in. */
const workerLeftOut = 'Service Worker registration blocked by Playwright';

/**
 * The served app in the shared browser, or in one of its own where it needs flags. Every page's complaints are
 * collected, and a test that leaves one it did not expect (and take out of the list) fails. A context's service worker
 * would lay the whole app into a cache that no test but those of offline work, updates and the sample reads: it is let
 * in only where it is asked for.
 */
export function appUnderTest(flags: readonly string[] = []): AppUnderTest {
  const app = { complaints: [] as string[] } as AppUnderTest;
  const contexts: BrowserContext[] = [];
  const lasting = new Map<string, Page>();

  const makeContext = async (options: Parameters<Browser['newContext']>[0] = {}) => {
    const context = await app.browser.newContext({ viewport: phone, serviceWorkers: 'block', ...options });
    context.setDefaultTimeout(60_000);
    context.on('page', (page) => {
      page.on('console', (message) => {
        const complains = message.type() === 'error' || message.type() === 'warning';
        if (complains && message.text() !== workerLeftOut) app.complaints.push(message.text());
      });
      page.on('pageerror', (error) => app.complaints.push(error.message));
    });
    return context;
  };
  app.newContext = async (options) => {
    const context = await makeContext(options);
    contexts.push(context);
    return context;
  };
  app.open = async (context) => {
    const page = await (context ?? (await app.newContext())).newPage();
    await page.goto(app.url);
    await page.getByRole('heading', { level: 1 }).waitFor();
    return page;
  };
  app.openAgain = async (options) => {
    const key = JSON.stringify(options ?? {});
    let page = lasting.get(key);
    if (!page) {
      page = await app.open(await makeContext(options));
      lasting.set(key, page);
    }
    await page.setViewportSize(options?.viewport ?? phone);
    await page.emulateMedia({ media: null, colorScheme: null });
    await page.evaluate(() => {
      window.location.hash = '#/';
    });
    await page.getByRole('button', { name: 'New build' }).waitFor();
    return page;
  };

  beforeAll(async () => {
    app.url = inject('appUrl');
    app.browser = flags.length > 0 ? await launchChromium(flags) : await sharedBrowser();
  });
  afterEach(async ({ task }) => {
    const complaints = app.complaints.splice(0);
    const over = contexts.splice(0);
    if (task.result?.state === 'fail' || complaints.length > 0) {
      over.push(...[...lasting.values()].map((page) => page.context()));
      lasting.clear();
    }
    await Promise.all(over.map((context) => context.close()));
    expect(complaints).toEqual([]);
  });
  afterAll(async () => {
    await app.browser?.close();
  });
  return app;
}

/** From the list of builds: opens the sample and waits for its check step, and till the header says it is kept. */
export async function openSample(page: Page, kept = 'Saved'): Promise<void> {
  await page.getByRole('button', { name: 'Open the sample' }).click();
  await page.getByRole('button', { name: 'Check the rod' }).waitFor();
  await page.getByText(kept, { exact: true }).waitFor();
}

/** A file the page saved. */
export async function downloaded(download: Download): Promise<Buffer> {
  const parts: Buffer[] = [];
  for await (const part of await download.createReadStream()) parts.push(part as Buffer);
  return Buffer.concat(parts);
}

/** A check takes 15 s where nothing else runs; on a busy machine a test that fails says nothing, ms. */
export const checkTime = 400_000;

/** Runs the check in hand to its end and returns the answer's first sentence. */
export async function runCheck(page: Page): Promise<string> {
  await page.getByRole('button', { name: /^Check (the rod|again)$/ }).click();
  const answer = page.getByRole('status', { name: 'Is it ready' });
  await answer.waitFor({ timeout: checkTime });
  await toItsEnd(page);
  return (await answer.getByRole('heading').innerText()).trim();
}

/** A check whose answer stands still draws its pictures, and is kept with them. */
export const toItsEnd = (page: Page): Promise<void> =>
  page.getByRole('region', { name: 'Checking' }).waitFor({ state: 'detached', timeout: checkTime });
