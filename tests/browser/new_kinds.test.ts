import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { appUnderTest, downloaded } from './app_page.ts';
import { checkedBuild } from './checked_build.ts';
import { openZip } from './sample_build.ts';

const app = appUnderTest();

async function savedPlan(page: Page) {
  const coming = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save as plan.json' }).click();
  return parsePlan((await downloaded(await coming)).toString('utf8'));
}

test('a tip-top, a datum on it, a snake guide and a planned roll are typed, drawn and saved', async () => {
  const page = await app.openAgain();
  await page.getByRole('button', { name: 'New build' }).click();
  await page.getByLabel(/^Length, tip to butt/).fill('1480');
  await page.getByLabel(/^Diameter at the tip/).fill('1.5');
  await page.getByLabel(/^Diameter at the butt/).fill('9.4');
  for (const [i, at] of ['94', '186.5'].entries()) {
    await page.getByLabel(/^From the tip/).fill(at);
    await page.getByLabel(/^From the tip/).press('Enter');
    await expect.poll(() => page.locator('.plan-row').count()).toBe(i + 1);
  }
  await page.getByText('Tip-top, and where distances begin').click();
  await page.getByLabel('The tip-top is', { exact: true }).selectOption('on the rod');
  await page.getByLabel(/^Length of its tube/).fill('6');
  await page.getByLabel(/^Bore of its tube/).fill('1.5');
  await page.getByLabel('Distances are counted from').selectOption('the butt-side end of the tip-top’s tube');
  await page.getByText('Distances run from the butt-side end of the tip-top’s tube').waitFor();
  // on the ribbon and on the strip it folds to
  expect(await page.locator('.guide-tube').count()).toBe(2);

  await page.locator('.plan-row').nth(0).locator('summary').click();
  await page.getByLabel('Kind of guide').selectOption('snake, one bent wire');
  await page.getByLabel(/^Length, foot end to foot end/).fill('14.1');
  await page.getByLabel(/^Blank to the top of the wire/).fill('4.5');
  await page.getByLabel(/^Thickness of the wire/).fill('0.79');
  await page.locator('.plan-row').nth(0).getByText('Snake guide, 14.1 mm long').click();
  await page.locator('.plan-row').nth(1).locator('summary').click();
  await page
    .locator('.plan-row')
    .nth(1)
    .getByLabel(/^Turned on purpose/)
    .fill('-30');

  const plan = await savedPlan(page);
  expect(plan).toMatchObject({ datum: 'tube-end', tipTop: { ringOuter: 5, tubeLength: 6, tubeInner: 1.5 } });
  expect(plan.positions.map(({ guide }) => guide)).toMatchObject([
    { type: 'snake', length: 14.1, height: 4.5, wire: 0.79 },
    { ringOuter: 6, roll: -30 },
  ]);

  await page.getByLabel('The tip-top is', { exact: true }).selectOption('not on yet');
  expect(await savedPlan(page)).not.toHaveProperty('tipTop');
  expect(await savedPlan(page)).not.toHaveProperty('datum');
});

test('wrapped guides are a stage to choose', async () => {
  const page = await app.openAgain();
  await page.getByRole('button', { name: 'New build' }).click();
  await page.getByRole('link', { name: /^Mat/ }).click();
  await page.getByLabel('Guides wrapped').check();
  await page.getByText('Saved', { exact: true }).waitFor();
  await page.reload();
  await page.getByText('the last time a guide can move').waitFor();
  expect(await page.getByLabel('Guides wrapped').isChecked()).toBe(true);
});

test('a check of wrapped guides with a turned tip-top says what to do before the epoxy, on screen and on the record', async () => {
  const page = await app.openAgain();
  const tipTop = {
    sighting: 'found',
    roll: { value: 4, expanded: 0.8 },
    rollVerdict: 'off',
    advice:
      'The tip-top is turned 4 degrees clockwise seen from the butt, against the guides. Warm its glue and turn it back.',
  } as const;
  const buffer = await checkedBuild({ ready: false, report: { stage: 'wrapped', tipTop } });
  await openZip(page, buffer);
  await page.getByRole('link', { name: /^Check/ }).click();
  await page.getByRole('heading', { name: 'Before the epoxy: move one guide.' }).waitFor();
  await page.getByText('The tip-top is turned 4 degrees clockwise').first().waitFor();
  await page.getByRole('link', { name: /^Record/ }).click();
  await page.getByText('Check of the wrapped guides').waitFor();
  await page.getByRole('row', { name: /^Tip-top .*4\.0°.*Rolled/ }).waitFor();
});
