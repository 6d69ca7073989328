import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest, phone } from './app_page.ts';
import { problemsEverywhere } from './axe_problems.ts';
import { openCheckedSample } from './sample_build.ts';

const app = appUnderTest();

test('every screen passes axe, fits a phone with text at 200 %, and has targets of 44 px', async () => {
  const page = await app.open(await app.newContext({ bypassCSP: true }));
  const found: Record<string, string[]> = {};
  const look = async (screen: string) => {
    const wrong = await problemsEverywhere(page);
    await page.setViewportSize(phone);
    found[screen] = [...wrong, ...(await smallTargets(page)), ...(await tooWideWithLargeText(page))];
  };
  await look('no builds');
  await openCheckedSample(page);
  await page.getByRole('button', { name: 'Check again' }).click();
  await page.getByRole('progressbar').waitFor();
  await look('running');
  await page.getByRole('button', { name: 'Stop' }).click();
  await page.getByRole('button', { name: /^G3/ }).click();
  await look('checked');
  const places = page.getByRole('region', { name: 'The rod, tip at the left' }).getByRole('link');
  expect(await places.count()).toBe(9);
  expect(await places.nth(3).getAttribute('aria-label')).toMatch(/^G3, guide, planned at 314\.0 mm: slide \d/);
  for (const step of ['Plan', 'Mat', 'Photos', 'Record']) {
    await page
      .getByRole('navigation', { name: 'Steps of this build' })
      .getByRole('link', { name: new RegExp(`^${step}`) })
      .click();
    await page.getByRole('heading', { level: 1, name: step }).waitFor();
    await look(step);
  }
  await page.getByText('Looks').click();
  await look('looks');
  await page.getByRole('link', { name: 'All builds' }).click();
  await page.locator('.card').first().waitFor();
  await page.getByText('What changed lately').click();
  await page.getByRole('heading', { name: 'Better' }).waitFor();
  await look('builds');
  expect(found).toEqual(Object.fromEntries(Object.keys(found).map((screen) => [screen, []])));
});

/** Controls under 44 px tall; the places on the ribbon share its width and have their rows below as well. */
const smallTargets = (page: Page): Promise<string[]> =>
  page.evaluate(() =>
    [
      ...document.querySelectorAll(
        'button, a:not(.skip):not(.ribbon-items a), summary, select, label:has(input[type=radio], input[type=checkbox]), input:not([type=radio], [type=checkbox]), textarea',
      ),
    ]
      .filter((element) => element.checkVisibility() && element.getBoundingClientRect().height < 44)
      .map((element) => `under 44 px: ${element.tagName} ${element.textContent}`),
  );

/** What runs off the side when the reader's text size is doubled. */
const tooWideWithLargeText = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const root = document.documentElement;
    root.style.setProperty('font-size', '36px');
    const wide =
      root.scrollWidth <= root.clientWidth
        ? []
        : [...document.querySelectorAll('body *')]
            .filter((element) => !element.closest('.ribbon-surface'))
            .filter((element) => element.getBoundingClientRect().right > root.clientWidth + 1)
            .map((element) => `too wide: ${element.tagName} ${element.textContent?.slice(0, 30)}`);
    root.style.removeProperty('font-size');
    return wide;
  });
