import chromium from '@sparticuz/chromium';
import { type Browser, type LaunchOptions, chromium as playwright } from 'playwright-core';

/** A name that is not localhost is not a secure context, as on a workshop's own network. */
export const workshopName = 'bench.test';

/** Flags of the package that are left out: one process for all pages, and a graphics card made up by the processor. */
const leftOut =
  /^--(single-process|no-zygote|in-process-gpu|use-gl|use-angle|enable-unsafe-swiftshader|ignore-gpu-blocklist)\b/;

/** Chromium out of the npm package: nothing to install by hand. `flags` are added to its own. */
export const chromiumOptions = async (flags: readonly string[] = []): Promise<LaunchOptions> => ({
  executablePath: await chromium.executablePath(),
  args: [
    ...chromium.args.filter((flag) => !leftOut.test(flag)),
    // pages are painted without a graphics card, which costs the least where there is none
    '--disable-gpu',
    // a page lives for seconds: the last rounds of optimizing its code would take longer than they spare
    '--js-flags=--no-turbofan',
    `--host-resolver-rules=MAP ${workshopName} 127.0.0.1`,
    ...flags,
  ],
  headless: true,
});

export const launchChromium = async (flags: readonly string[] = []): Promise<Browser> =>
  playwright.launch(await chromiumOptions(flags));
