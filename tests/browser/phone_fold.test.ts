import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import type { ReportItem } from '../../src/verdict/report.ts';
import { appUnderTest, desk, phone } from './app_page.ts';
import { axeProblems } from './axe_problems.ts';
import { checkedBuild } from './checked_build.ts';

const app = appUnderTest();

const guide = (id: string, planned: number, more: Partial<ReportItem> = {}): ReportItem => ({
  id,
  kind: 'guide',
  planned,
  found: true,
  along: { value: planned, expanded: 0.4 },
  alongVerdict: 'on',
  roll: { value: 0.02, expanded: 0.3 },
  rollVerdict: 'on',
  guideVerdict: 'as-planned',
  ...more,
});
const scale = (id: string): ReportItem =>
  guide(id, 200, {
    alongVerdict: 'unsure',
    advice: `Measure the row of squares and the span again, by the tape that laid off the marks: the scale leaves ${id} unsettled.`,
  });

/** The check of a made-up build: G2 to move, G3 not made out, the scale leaving two unsettled. */
async function openedCheck(context: Parameters<typeof app.newContext>[0] = {}): Promise<Page> {
  const page = await app.open(await app.newContext(context));
  const buffer = await checkedBuild({
    ready: false,
    read: ['one.jpg'],
    report: {
      items: [
        guide('G1', 90.5),
        guide('G2', 195, {
          alongVerdict: 'off',
          along: { value: 190, expanded: 0.4 },
          advice: 'Slide G2 5 mm toward the butt.',
        }),
        {
          id: 'G3',
          kind: 'guide',
          planned: 314,
          found: false,
          sighting: 'not-made-out',
          alongVerdict: 'unsure',
          advice: 'The photos show 314 mm, but I cannot make out the guide G3: point it out, or one closer photo.',
        },
        scale('G4'),
        scale('G5'),
      ],
    },
  });
  const chooser = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open plan and photos' }).click();
  await (await chooser).setFiles([{ name: 'rod.zip', mimeType: 'application/zip', buffer }]);
  await page.getByRole('status', { name: 'Is it ready' }).waitFor();
  return page;
}

const strip = (page: Page) => page.getByRole('button', { name: /: the rod and the steps$/ });
const ribbon = (page: Page) => page.getByRole('region', { name: 'The rod, tip at the left' });
const inView = (page: Page) =>
  ribbon(page).evaluate((element) => {
    const { top, bottom } = element.getBoundingClientRect();
    return bottom > 0 && top < innerHeight;
  });

test('on a phone the rod and the steps fold to a strip, and come back over the page with one tap', async () => {
  const page = await openedCheck({ bypassCSP: true });
  // the answer and the first thing to do stand on the first screen, before anything is scrolled
  const first = await page.getByRole('link', { name: /^Slide G2/ }).boundingBox();
  expect(first!.y + first!.height).toBeLessThan(phone.height);
  expect(await strip(page).isVisible()).toBe(false);

  await page.mouse.wheel(0, 600);
  await strip(page).waitFor();
  expect((await strip(page).boundingBox())!.height).toBeLessThanOrEqual(60);
  expect(await inView(page)).toBe(false);
  expect(await axeProblems(page)).toEqual([]);
  const scrolled = await page.evaluate(() => window.scrollY);

  await strip(page).click();
  expect(await inView(page)).toBe(true);
  expect(await page.evaluate(() => window.scrollY)).toBe(scrolled);
  expect(await axeProblems(page)).toEqual([]);
  await page.keyboard.press('Escape');
  await expect.poll(() => inView(page)).toBe(false);

  await strip(page).click();
  await ribbon(page).getByRole('link', { name: /^G1,/ }).click();
  await expect.poll(() => page.locator('.item-open .item-id').innerText()).toBe('G1');
  expect(await inView(page)).toBe(false);
  expect(await page.locator('.item-open .facts').innerText()).toContain('not rolled, give or take 0.3');

  // another step begins right under the strip
  await page.getByRole('link', { name: 'Next: Record' }).click();
  await page.getByRole('heading', { level: 1, name: 'Record' }).waitFor();
  await expect
    .poll(() =>
      page.getByRole('heading', { level: 1, name: 'Record' }).evaluate((title) => title.getBoundingClientRect().top),
    )
    .toBeLessThan(300);

  await page.setViewportSize(desk);
  expect(await strip(page).isVisible()).toBe(false);
});

test('what holds for several places is said once; what was not made out can be pointed out where that is said', async () => {
  const page = await openedCheck();
  const settles = page.getByRole('region', { name: 'What would settle the rest' });
  expect(await settles.getByText(/the scale leaves/).allInnerTexts()).toEqual([
    'Measure the row of squares and the span again, by the tape that laid off the marks: the scale leaves G4 and G5 unsettled.',
  ]);
  await settles.getByRole('button', { name: 'Point out G3' }).click();
  await page.getByRole('dialog', { name: 'Point out G3' }).waitFor();
});
