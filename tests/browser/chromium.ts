import chromium from '@sparticuz/chromium';
import { type Browser, chromium as playwright } from 'playwright-core';

/** Chromium out of the npm package: nothing to install by hand. `flags` are added to its own. */
export async function launchChromium(flags: readonly string[] = []): Promise<Browser> {
  return playwright.launch({
    executablePath: await chromium.executablePath(),
    args: [...chromium.args.filter((flag) => flag !== '--single-process' && flag !== '--no-zygote'), ...flags],
    headless: true,
  });
}
