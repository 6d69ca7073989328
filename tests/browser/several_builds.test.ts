import { expect, test } from 'vitest';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { unpackBuild } from '../../src/store/archive.ts';
import { appUnderTest, downloaded } from './app_page.ts';
import { problemsEverywhere } from './axe_problems.ts';
import { checkedBuild } from './checked_build.ts';

const app = appUnderTest();

test('several builds are opened at once, sorted by what is due, and saved at once', async () => {
  const page = await app.open(await app.newContext({ bypassCSP: true }));
  const zip = (name: string, buffer: Buffer) => ({ name, mimeType: 'application/zip', buffer });
  const chooser = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: 'Open plan and photos' }).click();
  await (await chooser).setFiles([
    zip('ready.zip', await checkedBuild({ id: 'one' })),
    zip('spoilt.zip', Buffer.from('not a zip at all')),
    zip('fix.zip', await checkedBuild({ id: 'two', ready: false })),
  ]);
  // one that can't be read is said, and stops none of the others
  await expect.poll(() => page.getByRole('alert').innerText()).toContain('spoilt.zip is damaged or cut off');
  await page.getByRole('button', { name: 'Close', exact: true }).click();
  await expect.poll(() => page.locator('.card').count()).toBe(2);
  await page.getByRole('button', { name: 'New build' }).click();
  await page.getByText('Saved', { exact: true }).waitFor();
  await page.getByRole('link', { name: 'All builds' }).click();
  await expect.poll(() => page.locator('.card').count()).toBe(3);

  await page.getByLabel('In order of').selectOption('what is due');
  expect(await page.getByRole('heading', { level: 2 }).allInnerTexts()).toEqual(['To move', 'To plan', 'Ready']);
  await page.getByRole('region', { name: 'To move' }).getByText('Something to move').waitFor();

  await page.getByRole('button', { name: 'Choose several' }).click();
  expect(await page.getByRole('button', { name: /^Save the/ }).isDisabled()).toBe(true);
  for (const group of ['To move', 'Ready'])
    await page.getByRole('region', { name: group }).getByLabel('Choose Alder brook rod, one piece').check();
  expect(await problemsEverywhere(page)).toEqual([]);
  const saved: Buffer[] = [];
  page.on('download', (file) => void downloaded(file).then((bytes) => saved.push(bytes)));
  await page.getByRole('button', { name: 'Save the two chosen builds' }).click();
  await expect.poll(() => saved.length).toBe(2);
  for (const bytes of saved) expect(parsePlan(unpackBuild(bytes).plan).positions).toHaveLength(9);
});
