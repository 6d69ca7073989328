import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest, desk, phone } from './app_page.ts';
import { problemsEverywhere } from './axe_problems.ts';
import { openPlanned } from './sample_build.ts';

const app = appUnderTest();

const place = (page: Page, id: string) => page.getByRole('slider', { name: new RegExp(`^${id},`) });
const typed = (page: Page, id: string) =>
  page.getByLabel(`${id} from the tip`, { exact: false }).and(page.locator('input'));

async function openedPlan(viewport: typeof phone): Promise<Page> {
  const page = await app.open(await app.newContext({ viewport, bypassCSP: true }));
  await openPlanned(page, 'Plan');
  await place(page, 'G3').waitFor();
  return page;
}

test.each([
  ['phone', phone],
  ['desktop', desk],
])(
  'on a %s a guide is dragged along the drawing, and what is typed follows; one undo takes it back',
  async (_, size) => {
    const page = await openedPlan(size);
    await place(page, 'G3').focus();
    const box = (await place(page, 'G3').boundingBox())!;
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    // 2 px are 1 mm
    await page.mouse.move(x + 10, y + 3);
    await page.mouse.move(x + 24, y + 5);
    await page.mouse.up();
    expect(await typed(page, 'G3').inputValue()).toBe('326');
    expect(await place(page, 'G3').getAttribute('aria-valuetext')).toBe('326.0 mm');
    await page.getByRole('button', { name: 'Undo: move G3' }).click();
    expect(await typed(page, 'G3').inputValue()).toBe('314');
  },
);

test('keys move a place, what is typed moves the drawing, neither goes past its neighbours; axe has nothing to say', async () => {
  const page = await openedPlan(phone);
  await place(page, 'G3').focus();
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('PageUp');
  expect(await typed(page, 'G3').inputValue()).toBe('325');
  for (let i = 0; i < 15; i++) await page.keyboard.press('Shift+PageUp');
  expect(await typed(page, 'G3').inputValue()).toBe('444');
  await typed(page, 'G3').fill('300.5');
  expect(await place(page, 'G3').getAttribute('aria-valuetext')).toBe('300.5 mm');
  await page.getByRole('button', { name: 'Larger drawing' }).click();
  await page.getByText('Looks').click();
  await page.getByLabel('Lengths in').first().selectOption('in-fraction');
  await page.getByText('Looks').click();
  await place(page, 'G3').focus();
  await page.keyboard.press('ArrowLeft');
  expect(await typed(page, 'G3').inputValue()).toBe('11 13/16');
  expect(await problemsEverywhere(page)).toEqual([]);
});
