import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest, checkTime, desk, runCheck, sampleFolder, toItsEnd } from './app_page.ts';
import { chooseFiles, openCheckedSample } from './sample_build.ts';

/** Checks one after another on one page: the worker that measures stays, with what it has loaded. */
const app = appUnderTest();

/** Opens a build of fixtures/kinds, its shoot as files of marks and rings have it: the stage is chosen in the app. */
async function openKind(page: Page, kind: string): Promise<void> {
  const read = (name: string) => readFile(new URL(`../../fixtures/kinds/${kind}/${name}`, import.meta.url));
  const shoot = JSON.parse((await read('shoot.json')).toString('utf8')) as object;
  const mimeType = 'application/json';
  await chooseFiles(page, 'Open plan and photos', [
    { name: 'plan.json', mimeType, buffer: await read('plan.json') },
    { name: 'shoot.json', mimeType, buffer: Buffer.from(JSON.stringify({ ...shoot, stage: 'rings' })) },
    { name: '01.jpg', mimeType: 'image/jpeg', buffer: await read('photos/01.jpg') },
  ]);
  await page.getByText('Saved', { exact: true }).waitFor();
}

const goToStep = (page: Page, step: string) =>
  page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: new RegExp(`^${step}`) })
    .click();

/** Where the open build's record says a guide was found, mm, and the doubt. */
async function recorded(page: Page, id: string): Promise<[number, number]> {
  const row = await page
    .getByRole('region', { name: 'Record of the rod' })
    .getByRole('row', { name: new RegExp(`^${id} `) })
    .innerText();
  const [, value, doubt] = /([\d.]+) mm ± ([\d.]+)/.exec(row)!;
  return [Number(value), Number(doubt)];
}
const toRecord = async (page: Page) => {
  await goToStep(page, 'Record');
  await page.getByRole('region', { name: 'Record of the rod' }).waitFor();
};

/** Notes what the check was still at when its answer first stood; '' where it was at an end. */
async function noteEarlyAnswer(page: Page): Promise<() => Promise<string>> {
  const noted = await page.evaluateHandle(() => {
    const note: { stage?: string } = {};
    new MutationObserver(() => {
      if (!document.querySelector('[role=status][aria-label="Is it ready"]')) return;
      note.stage ??= document.querySelector('[aria-label="Checking"] [role=status]')?.textContent ?? '';
    }).observe(document, { childList: true, subtree: true });
    return note;
  });
  return () => noted.evaluate(({ stage }) => stage ?? 'it never stood');
}

test('wrapped guides are chosen as the stage, checked, and what must move before the epoxy is said', async () => {
  const page = await app.openAgain({ viewport: desk });
  await openKind(page, 'wrapped-one');
  await goToStep(page, 'Mat');
  await page.getByLabel('Guides wrapped').check();
  await page.getByText('Saved', { exact: true }).waitFor();
  await goToStep(page, 'Check');
  const stoodEarly = await noteEarlyAnswer(page);
  expect(await runCheck(page)).toBe('Before the epoxy: move two guides.');
  expect(await stoodEarly()).toBe('Drawing the pictures');
  await page.getByRole('region', { name: 'One by one' }).waitFor();
  const moves = page.getByRole('region', { name: 'What must move' }).getByRole('listitem');
  expect(await moves.count()).toBe(2);
  // the photo's truth: G3 2.84 mm off, G7 14.76 mm, no other by more than 0.4
  expect(await moves.nth(0).innerText()).toMatch(/Slide G3 [23](\.\d)? mm toward the butt/);
  expect(await moves.nth(1).innerText()).toMatch(/Slide G7 1[3-6](\.\d)? mm toward the butt/);
  await toRecord(page);
  await page.getByText('Check of the wrapped guides').waitFor();
  for (const [id, truth] of [
    ['G3', 304.16],
    ['G7', 830.24],
  ] as const) {
    const [place, doubt] = await recorded(page, id);
    expect(Math.abs(place - truth), `${id} recorded at ${place}`).toBeLessThan(doubt);
  }
});

test('a rod with its tip-top on is checked from one photo: the tip-top has its row, what is not settled is said', async () => {
  const page = await app.openAgain({ viewport: desk });
  await openKind(page, 'tip-top-one');
  await goToStep(page, 'Check');
  // one photo settles no guide of this rod, and an empty place is not called missing on its word
  expect(await runCheck(page)).toBe('Shoot again: no guide is settled yet.');
  await page.getByText('One more photo, close over the tip-top, tilted toward you.').first().waitFor();
  await toRecord(page);
  const sheet = page.getByRole('region', { name: 'Record of the rod' });
  const tipTop = await sheet.getByRole('row', { name: /^Tip-top/ }).innerText();
  expect(tipTop).toMatch(/not settled|not made out/i);
  for (const [id, truth] of [
    ['G1', 93.93],
    ['G4', 394.8],
    ['G7', 782.32],
    ['G9', 1097.05],
  ] as const) {
    const [place, u] = await recorded(page, id);
    expect(Math.abs(place - truth), `${id} recorded at ${place}`).toBeLessThan(u);
  }
  expect(await sheet.getByRole('row', { name: /^G8 / }).innerText()).toMatch(/not made out/i);
});

test('after another round of photos the new check stands beside the one before, and both stay', async () => {
  const page = await app.openAgain({ viewport: desk });
  await openCheckedSample(page);
  await page.getByRole('button', { name: 'Moved something? Take new photos' }).click();
  await page.getByRole('heading', { level: 1, name: 'Photos' }).waitFor();
  // the second round is shorter: it reaches from the tip to G4
  await chooseFiles(
    page,
    'Choose photos',
    ['01.jpg', '02.jpg'].map((name) => join(sampleFolder, 'photos', name)),
  );
  await page.getByText('02.jpg').first().waitFor();
  await page.getByRole('link', { name: /^Check/ }).click();
  await page.getByText('An earlier answer, for another plan or other photos:').waitFor();
  await page.getByRole('button', { name: 'Check again' }).click();
  const comparison = page.getByRole('region', { name: 'Against the check before' });
  await comparison.waitFor({ timeout: checkTime });
  await toItsEnd(page);
  // nothing was moved between the two rounds
  expect(await comparison.innerText()).toContain('G2 and G3 are still to be put right.');
  expect(await comparison.getByRole('row').count()).toBe(8);
  const history = page.getByRole('region', { name: 'Checks of this build' }).getByRole('button');
  expect(await history.count()).toBe(2);
  await history.nth(1).click();
  await page.getByText('An earlier answer, for another plan or other photos:').waitFor();
});
