import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest, desk, phone } from './app_page.ts';
import { problemsEverywhere } from './axe_problems.ts';

const app = appUnderTest();

/** A build with a blank and three guides, its page telling how often the screen was asked to stay on. */
async function openPlan(viewport: { width: number; height: number }): Promise<Page> {
  const context = await app.newContext({ viewport, hasTouch: true, bypassCSP: true });
  await context.addInitScript(() => {
    const asked = { times: 0, released: 0 };
    Object.assign(globalThis, { asked });
    Object.defineProperty(navigator, 'wakeLock', {
      value: {
        request: () => {
          asked.times++;
          const lock = new EventTarget();
          return Promise.resolve(
            Object.assign(lock, {
              release: () => {
                asked.released++;
                return Promise.resolve();
              },
            }),
          );
        },
      },
    });
  });
  const page = await app.open(context);
  await page.getByRole('button', { name: 'New build' }).click();
  await page.getByLabel(/^Length, tip to butt/).fill('1418');
  await page.getByLabel(/^Diameter at the tip/).fill('1.7');
  await page.getByLabel(/^Diameter at the butt/).fill('11.4');
  for (const [i, at] of ['92', '196', '1160'].entries()) {
    await page.getByLabel(/^From the tip/).fill(at);
    await page.getByLabel(/^From the tip/).press('Enter');
    await expect.poll(() => page.locator('.plan-row').count()).toBe(i + 1);
  }
  return page;
}

test.each([
  ['a phone', phone],
  ['a desk', desk],
])('on %s places are marked off by touch and by space, in figures for two metres, and stay so', async (_, viewport) => {
  const page = await openPlan(viewport);
  await page.getByRole('button', { name: 'Mark off, one at a time' }).click();
  const dialog = page.getByRole('dialog', { name: 'Mark off' });
  const figures = dialog.locator('.mark-off-at');
  await dialog.getByText('The screen stays on.').waitFor();
  expect(await figures.innerText()).toMatch(/^92\.0\s+mm$/);
  // a phone's 390 px are about 65 mm: figures of 10 mm are 83 px of type, whose digits are seven tenths of it
  expect(await figures.evaluate((element) => Number.parseFloat(getComputedStyle(element).fontSize))).toBeGreaterThan(
    85,
  );
  expect(await dialog.evaluate((element) => element.scrollWidth <= element.clientWidth)).toBe(true);

  // one touch that a wet screen tells three times marks one place
  const field = dialog.locator('button.mark-off-field');
  const box = (await field.boundingBox())!;
  await field.evaluate((element: HTMLElement) =>
    element.addEventListener(
      'pointerup',
      ({ clientX, clientY }) => {
        for (const dx of [6, 12])
          element.dispatchEvent(new PointerEvent('pointerup', { bubbles: true, clientX: clientX + dx, clientY }));
      },
      { once: true },
    ),
  );
  await page.touchscreen.tap(box.x + box.width / 2, box.y + 30);
  await dialog.getByText('104.0 mm after G1').waitFor();
  expect(await figures.innerText()).toMatch(/^196\.0/);
  await page.waitForTimeout(450);
  await page.keyboard.press('Space');
  await dialog.getByText('964.0 mm after G2').waitFor();
  await dialog.getByText('2 of 3 marked').waitFor();
  const struck = dialog.locator('.mark-off-done');
  expect(await struck.allInnerTexts()).toEqual(['G1 92.0 mm', 'G2 196.0 mm']);
  expect(await struck.first().evaluate((element) => getComputedStyle(element).textDecorationLine)).toBe('line-through');
  await dialog.getByRole('button', { name: 'Back one' }).click();
  await dialog.getByText('1 of 3 marked').waitFor();
  await dialog.getByRole('button', { name: 'Close' }).click();
  // Let go once the closed dialog is painted, a moment after the click.
  await expect
    .poll(() => page.evaluate(() => (globalThis as unknown as { asked: object }).asked))
    .toEqual({ times: 1, released: 1 });

  await page.getByText('Saved', { exact: true }).waitFor();
  await page.reload();
  await page.getByRole('button', { name: 'Go on marking: 1 of 3 done' }).click();
  expect(await figures.innerText()).toMatch(/^196\.0/);
  for (const left of ['964.0 mm after G2', 'All three are marked.']) {
    await page.waitForTimeout(450);
    await page.keyboard.press('Space');
    await dialog.getByText(left).waitFor();
  }
});

test('the bench is got ready: tape to cut by the guides, guides counted by size against the plan', async () => {
  const page = await openPlan(phone);
  const bench = page.getByRole('region', { name: 'Ready the bench' });
  await bench.getByText('3 × 5 mm wide').waitFor();
  await bench.getByLabel('Hands washed and the blank wiped clean').check();
  await bench.getByText('Keep solvent away from flame and sparks').waitFor();
  await bench.getByText('One size is still to be counted.').waitFor();
  await bench.getByLabel(/^Rings 6\.0 mm across \(3 planned\)/).fill('2');
  await bench.getByText('They differ from the plan').waitFor();
  await page.getByText('The plan has 3 guides, the bag 2.').waitFor();
  await bench.getByLabel(/^Rings 6\.0 mm across/).fill('3');
  await bench.getByText('They agree with the plan.').waitFor();
  await page.getByText('Saved', { exact: true }).waitFor();
  await page.reload();
  expect(await bench.getByLabel('Hands washed and the blank wiped clean').isChecked()).toBe(true);
  expect(await problemsEverywhere(page)).toEqual([]);
  await page.getByRole('button', { name: 'Mark off, one at a time' }).click();
  await page.getByRole('dialog', { name: 'Mark off' }).waitFor();
  expect(await problemsEverywhere(page)).toEqual([]);
});
