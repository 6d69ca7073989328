import { expect, test } from 'vitest';
import { unpackBuild } from '../../src/store/archive.ts';
import { parseReport } from '../../src/verdict/report_file.ts';
import { appUnderTest, downloaded, phone } from './app_page.ts';
import { problemsEverywhere } from './axe_problems.ts';
import { blankBuild } from './blank_build.ts';
import { openZip } from './sample_build.ts';

const app = appUnderTest();

test('a measured blank says its length, bow and axis, fills the plan by consent, and goes out with the build', async () => {
  const page = await app.open(await app.newContext({ viewport: phone, bypassCSP: true }));
  await openZip(page, await blankBuild([0, 90, 180, 270]));
  const answer = page.getByRole('status', { name: 'Is it ready' });
  await answer.getByText('The blank is measured.').waitFor();
  const main = page.getByRole('main');
  await main.getByText('The blank is 1398.2 mm long, give or take 0.4.').waitFor();
  expect(await page.getByRole('region', { name: 'Its straightest axis' }).innerText()).toContain(
    'The blank bows by 2.5 mm',
  );
  expect(await page.getByRole('region', { name: 'Its straightest axis' }).innerText()).toMatch(
    /The line drawn on it lies 60 degrees clockwise of the side its middle stands out toward/,
  );
  await page.getByText('Thickness and bow, place by place').click();
  await expect.poll(() => page.getByRole('table').first().getByRole('row').count()).toBe(58);
  expect(await problemsEverywhere(page)).toEqual([]);
  await page.setViewportSize(phone);

  const fill = page.getByRole('region', { name: 'Fill the plan' });
  expect(await fill.innerText()).toMatch(/measured: 1398\.2 mm, give or take 0\.4\s+in the plan now: 1400\.0 mm/);
  await fill.getByLabel('Length, tip to butt').check();
  await fill.getByLabel('Diameters between tip and butt, for the bend').check();
  await fill.getByRole('button', { name: 'Fill in what is ticked' }).click();
  await fill.getByText('Filled in. Undo takes it back.').waitFor();
  // it was measured, and what the plan says of it does not change that
  await answer.getByText('The blank is measured.').waitFor();
  await fill.getByRole('link', { name: 'To the plan' }).click();
  const field = (name: string) => page.getByLabel(new RegExp(`^${name}`)).first();
  expect(await field('Length, tip to butt').inputValue()).toBe('1398.2');
  expect(await field('Diameter at the tip').inputValue()).toBe('2.5');
  await page.getByRole('button', { name: 'Undo: the measured blank' }).click();
  expect(await field('Length, tip to butt').inputValue()).toBe('1400');

  await page.getByRole('link', { name: /^Mat/ }).click();
  expect(await page.getByLabel('How far the blank is turned since the first shoot').inputValue()).toBe('270');
  expect(await page.getByText('Say what is straight up').count()).toBe(0);
  expect(await problemsEverywhere(page)).toEqual([]);
  await page.setViewportSize(phone);

  await page.getByRole('link', { name: /^Record/ }).click();
  const sheet = page.getByRole('region', { name: 'Record of the rod' });
  expect(await sheet.innerText()).toContain('Check of the bare blank');
  expect(await sheet.getByRole('row').count()).toBe(16);
  expect(await sheet.innerText()).toMatch(
    /Its straightest axis, from the shoots at 0°, 90°, 180° and 270°:\s+The blank bows by 2\.5 mm[\s\S]*The line drawn on it lies 60 degrees/,
  );
  const coming = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save the whole build' }).click();
  const archive = unpackBuild(await downloaded(await coming));
  expect(parseReport(archive.report).blank?.diameters).toHaveLength(57);
  expect([...archive.files.keys()].filter((name) => name.endsWith('report.json'))).toHaveLength(4);
});
