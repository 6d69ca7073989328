import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest, desk, openSample, phone, runCheck } from './app_page.ts';

const app = appUnderTest();
const axeFile = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

/** What axe finds wrong on the page as it stands: WCAG 2.2 A and AA, each with the element. */
async function problems(page: Page): Promise<string[]> {
  const axe = await readFile(axeFile, 'utf8');
  await page.evaluate(axe);
  return page.evaluate(async () => {
    const { axe: checker } = window as unknown as { axe: typeof import('axe-core') };
    const result = await checker.run(document, {
      runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
    });
    return result.violations.flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.target.join(' ')}`));
  });
}

for (const [name, viewport, colorScheme] of [
  ['phone, light', phone, 'light'],
  ['desk, dark', desk, 'dark'],
] as const)
  test(`every screen passes axe (${name})`, async () => {
    const page = await app.open(await app.newContext({ viewport, colorScheme, bypassCSP: true }));
    const found: Record<string, string[]> = { 'no builds': await problems(page) };
    await openSample(page);
    await page.getByRole('button', { name: 'Check the rod' }).click();
    await page.getByRole('progressbar').waitFor();
    found.running = await problems(page);
    await page.getByRole('status', { name: 'Is it ready' }).waitFor({ timeout: 150_000 });
    await page.getByRole('button', { name: /^G3/ }).click();
    found.checked = await problems(page);
    for (const step of ['Plan', 'Mat', 'Photos', 'Record']) {
      await page
        .getByRole('navigation', { name: 'Steps of this build' })
        .getByRole('link', { name: new RegExp(`^${step}`) })
        .click();
      await page.getByRole('heading', { level: 1, name: step }).waitFor();
      found[step] = await problems(page);
    }
    await page.getByText('Looks').click();
    found.looks = await problems(page);
    await page.getByRole('link', { name: 'All builds' }).click();
    await page.locator('.card').waitFor();
    found.builds = await problems(page);
    expect(found).toEqual(Object.fromEntries(Object.keys(found).map((screen) => [screen, []])));
  });

test('the whole path from the sample to a guide’s figures by keyboard alone', async () => {
  const page = await app.open();
  const tabTo = async (name: RegExp) => {
    for (let i = 0; i < 60; i++) {
      await page.keyboard.press('Tab');
      const focused = await page.evaluate(
        () => document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? '',
      );
      if (name.test(focused)) return;
    }
    throw new Error(`no ${name} within 60 tabs`);
  };
  await tabTo(/^Open the sample/);
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Check the rod' }).waitFor();
  await tabTo(/^Check the rod/);
  await page.keyboard.press('Enter');
  await page.getByRole('status', { name: 'Is it ready' }).waitFor({ timeout: 150_000 });
  await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
  await tabTo(/^T, tip wrap/);
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('+');
  await page.keyboard.press('Enter');
  expect(await page.locator('.item-open .item-id').innerText()).toBe('G2');
});

test('each place on the ribbon is spoken with its planned place and what was found', async () => {
  const page = await app.open();
  await openSample(page);
  await runCheck(page);
  const places = page.getByRole('region', { name: 'The rod, tip at the left' }).getByRole('link');
  expect(await places.count()).toBe(9);
  expect(await places.nth(3).getAttribute('aria-label')).toMatch(/^G3, guide, planned at 314\.0 mm: slide \d/);
});

test('with text at 200 % nothing runs off a phone’s side', async () => {
  const page = await app.open();
  await openSample(page);
  await runCheck(page);
  await page.evaluate(() => {
    document.documentElement.style.setProperty('font-size', '36px');
  });
  const tooWide = await page.evaluate(() =>
    document.documentElement.scrollWidth <= document.documentElement.clientWidth
      ? []
      : [...document.querySelectorAll('body *')]
          .filter((element) => element.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
          .map((element) => `${element.tagName} ${element.getAttribute('class')} ${element.textContent?.slice(0, 30)}`),
  );
  expect(tooWide).toEqual([]);
});

test('buttons and links are at least 44 px tall, places on the ribbon aside', async () => {
  const page = await app.open();
  await openSample(page);
  await runCheck(page);
  const small = await page.evaluate(() =>
    [...document.querySelectorAll('button, a:not(.skip):not(.ribbon-items a), summary, select')]
      .filter((element) => element.checkVisibility() && element.getBoundingClientRect().height < 44)
      .map((element) => element.textContent),
  );
  expect(small).toEqual([]);
});
