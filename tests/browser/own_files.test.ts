import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest, sampleFolder } from './app_page.ts';
import { chooseFiles, openCheckedSample } from './sample_build.ts';

const app = appUnderTest();

const sampleFiles = async (): Promise<string[]> => {
  const photos = await readdir(join(sampleFolder, 'photos'));
  return [
    join(sampleFolder, 'plan.json'),
    join(sampleFolder, 'shoot.json'),
    ...photos.map((name) => join(sampleFolder, 'photos', name)),
  ];
};

const choose = (page: Page, files: Parameters<typeof chooseFiles>[2]) =>
  chooseFiles(page, 'Open plan and photos', files);

test('own plan, shoot and photos, chosen together, are checked like the sample', async () => {
  const page = await app.open();
  // made by choosing the sample's files in the app and checking them
  await openCheckedSample(page);
  expect(await page.getByRole('status', { name: 'Is it ready' }).getByRole('heading').innerText()).toBe(
    'Move three guides.',
  );
  const photos = page.getByRole('list', { name: 'Photos of this shoot' }).getByRole('listitem');
  await page.getByRole('link', { name: /^Photos/ }).click();
  await expect.poll(() => photos.count()).toBe(6);
});

test('a dropped folder is opened all the way down', async () => {
  const page = await app.open();
  const session = await page.context().newCDPSession(page);
  const data = { items: [], files: [sampleFolder], dragOperationsMask: 1 };
  const opened = page.getByRole('button', { name: 'Check the rod' });
  // A browser that two tests share may take the drag for one that left the page, and drops nothing:
  // then it is dragged anew.
  await expect
    .poll(
      async () => {
        await page.bringToFront();
        for (const type of ['dragEnter', 'dragOver', 'drop'] as const)
          await session.send('Input.dispatchDragEvent', { type, x: 100, y: 300, data });
        return opened.waitFor({ timeout: 10_000 }).then(
          () => 'opened',
          () => 'not yet',
        );
      },
      { timeout: 100_000 },
    )
    .toBe('opened');
  await page.getByRole('link', { name: /^Photos/ }).click();
  await expect.poll(() => page.getByRole('main').innerText()).toContain('06.jpg');
});

test('a plan that is wrong says the file, the place and what to do', async () => {
  const page = await app.open();
  const plan = { schema: 'prewrap.plan/1', title: 'Rod', unit: 'mm', datum: 'blank-tip' };
  await choose(page, [{ name: 'plan.json', mimeType: 'application/json', buffer: Buffer.from(JSON.stringify(plan)) }]);
  await expect.poll(() => page.getByRole('alert').innerText()).toMatch(/^plan\.json, .+is missing; add it\./);
});

test('a shoot that names a photo that is not there says which', async () => {
  const page = await app.open();
  await choose(page, (await sampleFiles()).slice(0, -1));
  await expect
    .poll(() => page.getByRole('alert').innerText())
    .toMatch(/^The shoot names photos\/06\.jpg, which isn’t among/);
});

test('a photo without a mat gives one sentence and no verdict', async () => {
  const page = await app.open();
  const [plan] = await sampleFiles();
  const blank = await page.evaluate(async () => {
    const canvas = new OffscreenCanvas(1600, 1200);
    const context = canvas.getContext('2d')!;
    context.fillStyle = '#777';
    context.fillRect(0, 0, 1600, 1200);
    const bytes = new Uint8Array(await (await canvas.convertToBlob({ type: 'image/jpeg' })).arrayBuffer());
    return [...bytes];
  });
  await choose(page, [
    { name: 'plan.json', mimeType: 'application/json', buffer: await readFile(plan!) },
    { name: 'grey.jpg', mimeType: 'image/jpeg', buffer: Buffer.from(blank) },
  ]);
  await page.getByRole('button', { name: 'Check the rod' }).click();
  const said = page.getByRole('main').getByRole('alert');
  await said.waitFor({ timeout: 120_000 });
  expect(await said.innerText()).toContain('grey.jpg');
  expect(await page.getByRole('status', { name: 'Is it ready' }).count()).toBe(0);
});
