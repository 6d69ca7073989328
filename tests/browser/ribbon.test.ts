import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest } from './app_page.ts';
import { openPlanned } from './sample_build.ts';

const app = appUnderTest();

/** Where two guides stand on the screen, px, once what the fingers did is drawn. */
async function places(page: Page): Promise<[number, number]> {
  await page.evaluate(() => new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn))));
  const middle = async (name: RegExp) => {
    const box = await page.getByRole('region', { name: 'The rod' }).getByRole('link', { name }).boundingBox();
    return (box?.x ?? Number.NaN) + (box?.width ?? Number.NaN) / 2;
  };
  return [await middle(/^G4,/), await middle(/^G7,/)];
}
const apart = ([a, b]: [number, number]) => b - a;

test('two fingers zoom, one pans, and the page behind stays where it is', async () => {
  const page = await app.open(await app.newContext({ hasTouch: true, isMobile: true }));
  await openPlanned(page, 'Check');
  const before = await places(page);
  const session = await page.context().newCDPSession(page);
  const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', ...xs: number[]) =>
    session.send('Input.dispatchTouchEvent', { type, touchPoints: xs.map((x, id) => ({ x, y: 220, id })) });
  await touch('touchStart', 180, 220);
  for (const spread of [10, 20, 40]) await touch('touchMove', 180 - spread, 220 + spread);
  await touch('touchEnd');
  const zoomed = await places(page);
  expect(apart(zoomed) / apart(before)).toBeGreaterThan(2);
  await touch('touchStart', 250);
  for (const x of [230, 200, 150]) await touch('touchMove', x);
  await touch('touchEnd');
  const panned = await places(page);
  expect(apart(panned)).toBeCloseTo(apart(zoomed), 0);
  expect(panned[0] - zoomed[0]).toBeLessThan(-60);
  expect(await page.evaluate(() => [window.scrollY, window.visualViewport?.scale])).toEqual([0, 1]);
  expect(page.url()).toMatch(/\/check$/);
});

test('a tap near a guide goes to it, a drag does not', async () => {
  const page = await app.openAgain();
  await openPlanned(page, 'Check');
  const [, g7] = await places(page);
  await page.mouse.move(g7, 200);
  await page.mouse.down();
  await page.mouse.move(g7 - 60, 200, { steps: 4 });
  await page.mouse.up();
  expect(page.url()).toMatch(/\/check$/);
  const [, moved] = await places(page);
  await page.mouse.click(moved + 15, 240);
  await expect.poll(() => page.url()).toMatch(/\/check\/G7$/);
});

test('the pinch of a touch pad zooms at the pointer, a plain wheel is left to the page', async () => {
  const page = await app.openAgain();
  await openPlanned(page, 'Check');
  const before = await places(page);
  await page.mouse.move(before[1], 200);
  await page.mouse.wheel(0, 200);
  expect(await places(page)).toEqual(before);
  await page.keyboard.down('Control');
  await page.mouse.wheel(0, -100);
  await page.keyboard.up('Control');
  await expect.poll(async () => apart(await places(page)) / apart(before)).toBeGreaterThan(2);
  expect((await places(page))[1]).toBeCloseTo(before[1], 0);
});

test('keys go from place to place, zoom, pan and show the whole rod again', async () => {
  const page = await app.openAgain();
  await openPlanned(page, 'Check');
  const whole = await places(page);
  await page.getByRole('region', { name: 'The rod' }).getByRole('link', { name: /^G3,/ }).focus();
  await page.keyboard.press('ArrowRight');
  expect(await page.evaluate(() => document.activeElement?.getAttribute('aria-label'))).toMatch(/^G4,/);
  await page.keyboard.press('+');
  await page.keyboard.press('+');
  const close = await places(page);
  expect(apart(close) / apart(whole)).toBeGreaterThan(2);
  await page.keyboard.press('Shift+ArrowRight');
  expect((await places(page))[0]).toBeLessThan(close[0]);
  await page.keyboard.press('0');
  expect(await places(page)).toEqual(whole);
});

test('the ruler and every length follow the unit chosen', async () => {
  const page = await app.openAgain();
  await openPlanned(page, 'Check');
  await page.getByText('Looks').click();
  await page.getByLabel('Lengths in').selectOption('in-fraction');
  const spoken = await page
    .getByRole('region', { name: 'The rod' })
    .getByRole('link', { name: /^G3,/ })
    .getAttribute('aria-label');
  expect(spoken).toContain('planned at 12 3/8 in');
});
