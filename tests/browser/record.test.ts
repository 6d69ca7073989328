import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { unpackBuild } from '../../src/store/archive.ts';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { parseReport } from '../../src/verdict/report_file.ts';
import { appUnderTest, downloaded } from './app_page.ts';
import { problemsEverywhere } from './axe_problems.ts';
import { checkedBuild, hiddenPlace } from './checked_build.ts';
import { openZip } from './sample_build.ts';

const app = appUnderTest();

const toRecord = async (page: Page) => {
  await page.getByRole('link', { name: /^Record/ }).click();
  await page.getByRole('region', { name: 'Record of the rod' }).waitFor();
};
async function download(page: Page, button: string): Promise<{ name: string; bytes: Buffer }> {
  const coming = page.waitForEvent('download');
  await page.getByRole('button', { name: button }).click();
  const file = await coming;
  return { name: file.suggestedFilename(), bytes: await downloaded(file) };
}

test('a zip opens with its plan, photos and check, and the check still speaks of them', async () => {
  const page = await app.openAgain();
  await openZip(page, await checkedBuild());
  await page.getByRole('status', { name: 'Is it ready' }).getByText('Ready to wrap.').waitFor();
  await page.getByRole('link', { name: /^Photos/ }).click();
  await expect.poll(() => page.getByRole('main').innerText()).toMatch(/one\.jpg[\s\S]*two\.jpg/);
  await page.reload();
  await page.getByRole('link', { name: /^Check/ }).click();
  await page.getByRole('status', { name: 'Is it ready' }).getByText('Ready to wrap.').waitFor();
});

test('the record has rod, verdict, table, pictures, dates and a line to sign', async () => {
  const page = await app.openAgain();
  await openZip(page, await checkedBuild());
  await toRecord(page);
  await page.getByLabel(/^Checked by/).fill('A. Builder');
  const sheet = page.getByRole('region', { name: 'Record of the rod' });
  const text = await sheet.innerText();
  for (const said of [
    'Alder brook rod',
    'Ready to wrap.',
    '1418 mm long',
    'within 1.5 mm',
    'November 20, 2026',
    'A. Builder',
  ])
    expect(text).toContain(said);
  expect(await sheet.getByRole('row').count()).toBe(8);
  expect(await sheet.getByRole('row').nth(3).innerText()).toMatch(/G3\s+314 mm\s+314\.3 mm ± 0\.4\s+0\.3 mm to butt/);
  expect(await sheet.getByRole('img').count()).toBe(4);
  expect(await sheet.locator('.signature').count()).toBe(1);
});

test('what is not ready has no line to sign, nor has what was changed since', async () => {
  const page = await app.openAgain();
  await openZip(page, await checkedBuild({ ready: false }));
  await toRecord(page);
  const sheet = page.getByRole('region', { name: 'Record of the rod' });
  expect(await sheet.innerText()).toContain('Slide G3 3.2 mm toward the tip.');
  expect(await sheet.locator('.signature').count()).toBe(0);

  await page.getByRole('link', { name: 'All builds' }).click();
  await openZip(page, await checkedBuild());
  await toRecord(page);
  expect(await sheet.locator('.signature').count()).toBe(1);
  await page.getByRole('link', { name: /^Plan/ }).click();
  await page.getByLabel(/^G3 from the tip/).fill('320');
  await toRecord(page);
  expect(await sheet.locator('.signature').count()).toBe(0);
  expect(await sheet.innerText()).toContain('changed since this check');
});

test('on paper stands the record alone, on one page', async () => {
  const page = await app.openAgain();
  await openZip(page, await checkedBuild());
  await toRecord(page);
  await page.emulateMedia({ media: 'print' });
  for (const hidden of ['Print, or save as PDF', 'Save the whole build', 'All builds', 'Next'])
    expect(await page.getByText(hidden).first().isVisible()).toBe(false);
  const pdf = await page.pdf({ format: 'A4' });
  expect(pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)).toHaveLength(1);
});

test('the record goes out as one file that needs nothing else, reads well on a phone and prints on one page', async () => {
  const page = await app.openAgain();
  await openZip(page, await checkedBuild());
  await toRecord(page);
  await page.getByLabel(/^Checked by/).fill('A. <Builder>');
  const { name, bytes } = await download(page, 'Save as one file');
  expect(name).toBe('alder-brook-rod-one-piece-guides.html');
  const text = bytes.toString('utf8');
  expect(text).not.toMatch(/<script|https?:|blob:/);
  for (const [, data] of text.matchAll(/base64,([^"]+)"/g))
    expect(Buffer.from(data!, 'base64').includes(hiddenPlace)).toBe(false);

  const folder = await mkdtemp(join(tmpdir(), 'prewrap-record-'));
  await writeFile(join(folder, name), bytes);
  const reader = await (await app.newContext({ javaScriptEnabled: false, offline: true })).newPage();
  await reader.goto(pathToFileURL(join(folder, name)).href);
  const said = await reader.locator('main').innerText();
  for (const part of ['Alder brook rod', 'Ready to wrap.', '1418 mm long', 'A. <Builder>', '314.3 mm ± 0.4'])
    expect(said).toContain(part);
  expect(await reader.getByRole('row').count()).toBe(8);
  expect(await reader.getByRole('img').count()).toBe(4);
  // without scripts of its own the page still answers a question from outside
  const width = await reader.locator('html').evaluate((root) => [root.scrollWidth, root.clientWidth]);
  expect(width[0]).toBeLessThanOrEqual(width[1]!);
  for (const format of ['A4', 'Letter'] as const) {
    const pdf = await reader.pdf({ format, preferCSSPageSize: false });
    expect([format, pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)?.length]).toEqual([format, 1]);
  }
  const checked = await (await app.newContext({ bypassCSP: true })).newPage();
  await checked.goto(pathToFileURL(join(folder, name)).href);
  expect(await problemsEverywhere(checked)).toEqual([]);
  await rm(folder, { recursive: true });
});

test('the table is saved as CSV', async () => {
  const page = await app.openAgain();
  await openZip(page, await checkedBuild({ ready: false }));
  await toRecord(page);
  const { name, bytes } = await download(page, 'Save the table as CSV');
  expect(name).toBe('alder-brook-rod-one-piece-guides.csv');
  const rows = bytes.toString('utf8').trimEnd().split('\r\n');
  expect(rows).toHaveLength(8);
  expect(rows[3]).toMatch(/^G3,guide,314\.00,317\.20,0\.40,3\.20,off,-0\.40,0\.30,on,6\.00,/);
});

test('the whole build goes out as one zip without places, and comes back beside what changed meanwhile', async () => {
  const page = await app.open();
  await openZip(page, await checkedBuild());
  await toRecord(page);
  const { name, bytes } = await download(page, 'Save the whole build');
  expect(name).toBe('alder-brook-rod-one-piece.zip');
  const archive = unpackBuild(bytes);
  expect(parsePlan(archive.plan).positions).toHaveLength(9);
  expect(parseReport(archive.report).verdict).toBe('ready');
  expect([...archive.photos.keys()]).toEqual(['one.jpg', 'two.jpg']);
  for (const [file, content] of archive.files)
    expect([file, Buffer.from(content).includes(hiddenPlace)]).toEqual([file, false]);

  // the same again: nothing is kept twice
  await page.getByRole('link', { name: 'All builds' }).click();
  await openZip(page, bytes);
  await page.getByText('is already here').waitFor();
  await page.getByRole('button', { name: 'Close', exact: true }).click();
  // changed here since: the file comes in beside it
  await page.getByRole('link', { name: /^Plan/ }).click();
  await page.getByLabel('Name of the rod').fill('My alder rod');
  await page.getByText('Saved', { exact: true }).waitFor();
  await page.getByRole('link', { name: 'All builds' }).click();
  await openZip(page, bytes);
  await page.getByText('Alder brook rod, one piece (from a file)').first().waitFor();
  await page.getByRole('link', { name: 'All builds' }).click();
  await expect
    .poll(async () => (await page.locator('.card-title').allInnerTexts()).toSorted())
    .toEqual(['Alder brook rod, one piece (from a file)', 'My alder rod']);
});

test('a damaged zip says so in one sentence and changes nothing', async () => {
  const page = await app.open();
  const whole = await checkedBuild();
  await openZip(page, whole);
  await toRecord(page);
  await page.getByRole('link', { name: 'All builds' }).click();
  const spoilt = Buffer.from(whole);
  spoilt[Math.floor(spoilt.length / 2)]! ^= 255;
  for (const [buffer, said] of [
    [whole.subarray(0, whole.length - 300), 'copy.zip is damaged or cut off'],
    [spoilt, 'copy.zip is damaged or cut off'],
    [Buffer.from('not a zip at all'), 'copy.zip is damaged or cut off'],
  ] as const) {
    await openZip(page, buffer, 'copy.zip');
    await expect.poll(() => page.getByRole('alert').innerText()).toContain(said);
    await page.getByRole('button', { name: 'Close', exact: true }).click();
  }
  expect(await page.locator('.card').count()).toBe(1);
});
