import { mkdir } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { desk, openSample, phone, runCheck, toItsEnd } from './app_page.ts';
import { distFolder } from './dist_folder.ts';
import { launchChromium } from './chromium.ts';
import { serveFolder } from './static_server.ts';

// Writes a picture of every screen of the built app at both sizes to ./screenshots: npx tsx
// tests/browser/screenshots.ts

const folder = fileURLToPath(new URL('../../screenshots/', import.meta.url));

async function takeAll(): Promise<void> {
  await mkdir(folder, { recursive: true });
  const server = await serveFolder(distFolder);
  const browser = await launchChromium();
  for (const [size, viewport, colorScheme] of [
    ['phone', phone, 'light'],
    ['desk', desk, 'dark'],
  ] as const) {
    const context = await browser.newContext({ viewport, colorScheme });
    const page = await context.newPage();
    let number = 0;
    const picture = async (name: string, fullPage = false) => {
      // until what was scrolled to has been drawn
      await page.evaluate(() => new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn))));
      const file = `${size}-${String(++number).padStart(2, '0')}-${name}.png`;
      await page.screenshot({ path: `${folder}${file}`, fullPage });
    };
    const goToStep = (step: string) =>
      page
        .getByRole('navigation', { name: 'Steps of this build' })
        .getByRole('link', { name: new RegExp(`^${step}`) })
        .click();
    await page.goto(server.url);
    await page.getByRole('heading', { name: 'No builds yet' }).waitFor();
    await picture('no-builds');
    await openSample(page);
    await picture('before-check');
    await page.getByRole('button', { name: 'Check the rod' }).click();
    await page.getByRole('progressbar').waitFor();
    await picture('checking');
    await page.getByRole('status', { name: 'Is it ready' }).waitFor({ timeout: 150_000 });
    await toItsEnd(page);
    await picture('checked');
    await picture('checked-whole', true);
    await page.getByRole('button', { name: /^G3/ }).click();
    await picture('guide');
    await page.getByRole('button', { name: 'Point it out yourself' }).click();
    await page.locator('.hand-image[style*=scale]').waitFor();
    await picture('by-hand');
    await page.getByRole('button', { name: 'Close', exact: true }).click();
    await zoomIn(page);
    await picture('ribbon-close');
    await page.getByText('Looks').click();
    await picture('looks');
    await page.getByText('Looks').click();
    for (const step of ['Plan', 'Mat', 'Photos', 'Record']) {
      await goToStep(step);
      await page.getByRole('heading', { level: 1, name: step }).waitFor();
      await page.getByText('Opening…').waitFor({ state: 'detached' });
      await picture(step.toLowerCase(), true);
    }
    await goToStep('Check');
    await runCheck(page);
    await page.getByRole('region', { name: 'Against the check before' }).waitFor({ timeout: 150_000 });
    await picture('checked-again', true);
    await page.getByRole('link', { name: 'All builds' }).click();
    await page.locator('.card').waitFor();
    await picture('builds');
    await page.getByRole('button', { name: 'New build' }).click();
    await page.getByRole('heading', { level: 1, name: 'Plan' }).waitFor();
    await picture('new-build');
    await context.close();
  }
  await browser.close();
  await server.stop();
}

async function zoomIn(page: Page): Promise<void> {
  for (let i = 0; i < 4; i++) await page.getByRole('button', { name: 'Closer' }).click();
  await page.evaluate(() => window.scrollTo(0, 0));
}

await takeAll();
