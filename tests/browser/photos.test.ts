import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import sharp, { type Sharp } from 'sharp';
import { expect, test } from 'vitest';
import { appUnderTest, desk, sampleFolder } from './app_page.ts';
import { chooseFiles, placelessPlan } from './sample_build.ts';

const app = appUnderTest();
const photo = (name: string) => join(sampleFolder, 'photos', name);

/** A build of the sample's blank without photos, at its photos step, on A4. */
async function atPhotos(): Promise<Page> {
  const page = await app.openAgain({ locale: 'en-GB', viewport: desk });
  await chooseFiles(page, 'Open plan and photos', await placelessPlan());
  await page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: /^Photos/ })
    .click();
  await page.getByRole('button', { name: 'Choose photos' }).waitFor();
  return page;
}
const rows = (page: Page) => page.getByRole('list', { name: 'Photos of this shoot' }).getByRole('listitem');
const rowOf = (page: Page, name: string) => rows(page).filter({ hasText: name });
const says = (page: Page, name: string) => expect.poll(() => rowOf(page, name).innerText(), { timeout: 120_000 });
const coverage = (page: Page) => page.getByRole('region', { name: 'What the photos cover' });

const jpeg = async (name: string, change: (image: Sharp) => Sharp) => ({
  name,
  mimeType: 'image/jpeg',
  buffer: await change(sharp(photo('03.jpg')))
    .jpeg({ quality: 92 })
    .toBuffer(),
});

test('several photos at once each get their mark, what they cover and what is next', async () => {
  const page = await atPhotos();
  await chooseFiles(page, 'Choose photos', ['01.jpg', '02.jpg'].map(photo));
  await says(page, '01.jpg').toMatch(/Good: sharp, 20 tags, tiles 1 to 2, from above\./);
  await says(page, '02.jpg').toMatch(/Good: sharp, 25 tags, tiles 1 to 3, tilted 1[678]°\./);
  await expect.poll(() => coverage(page).innerText()).toContain('Not yet: tiles 3 to 5.');
  expect(await coverage(page).innerText()).toMatch(/Next, from about 60 cm \(2 ft\) above tiles 3 to 5/);
  await chooseFiles(page, 'Choose photos', ['03.jpg', '04.jpg', '05.jpg', '06.jpg'].map(photo));
  await expect
    .poll(() => coverage(page).innerText(), { timeout: 120_000 })
    .toContain('That is enough. More photos do no harm.');
  expect(await coverage(page).innerText()).toContain('The mat is covered twice');
});

test('a photo is taken out and put back, taken in once, kept over a reload; what is no photo is not taken in', async () => {
  const page = await atPhotos();
  await chooseFiles(page, 'Choose photos', [
    { name: 'mat.pdf', mimeType: 'application/pdf', buffer: Buffer.from('%PDF-1.4\n%âãÏÓ\n') },
    { name: 'cut.jpg', mimeType: 'image/jpeg', buffer: (await readFile(photo('01.jpg'))).subarray(0, 20_000) },
  ]);
  await page.getByText('mat.pdf is a PDF, not a photo').waitFor();
  expect(await rows(page).count()).toBe(0);

  await chooseFiles(page, 'Take a photo', [photo('01.jpg')]);
  await says(page, '01.jpg').toContain('Good');
  await page.getByRole('button', { name: 'Take out 01.jpg' }).click();
  expect(await rows(page).count()).toBe(0);
  await page.getByRole('button', { name: 'Put it back' }).click();
  await says(page, '01.jpg').toContain('Good');

  await chooseFiles(page, 'Choose photos', [
    { name: 'copy.jpg', mimeType: 'image/jpeg', buffer: await readFile(photo('01.jpg')) },
    { name: '02.jpg', mimeType: 'image/jpeg', buffer: await readFile(photo('02.jpg')) },
  ]);
  await page.getByText('copy.jpg is the same photo as 01.jpg, which is here already.').waitFor();
  await says(page, '02.jpg').toContain('Good');
  expect(await rows(page).count()).toBe(2);

  await page.getByText('Saved', { exact: true }).waitFor();
  await page.reload();
  await says(page, '01.jpg').toMatch(/Good: sharp, 20 tags/);
});

test('each photo that will not do says why and what to do', async () => {
  const page = await atPhotos();
  await chooseFiles(page, 'Choose photos', [
    await jpeg('blurred.jpg', (image) => image.blur(9)),
    await jpeg('dark.jpg', (image) => image.linear(0.12, 0)),
    await jpeg('mirrored.jpg', (image) => image.flop()),
    await jpeg('one-row.jpg', (image) => image.extract({ left: 0, top: 0, width: 2016, height: 640 })),
    { name: 'IMG_0001.HEIC', mimeType: 'image/heic', buffer: heicHeader() },
  ]);
  await says(page, 'blurred.jpg').toMatch(/Won’t do\s+Too blurred to read/);
  await says(page, 'dark.jpg').toMatch(/Too dark: turn on a lamp/);
  await says(page, 'mirrored.jpg').toMatch(/Won’t do\s+The photo is mirrored/);
  await says(page, 'one-row.jpg').toMatch(/Will do, could be better[^]*Only one row of tags is in it/);
  await says(page, 'IMG_0001.HEIC').toMatch(/is an HEIC photo, which cannot be read here: save it as JPEG/);
});

/** The first box of an HEIC file with an image of 4000 x 3000 described and nothing in it. */
function heicHeader(): Buffer {
  const box = (type: string, ...content: Buffer[]) => {
    const body = Buffer.concat(content);
    const head = Buffer.alloc(8);
    head.writeUInt32BE(body.length + 8);
    head.write(type, 4, 'latin1');
    return Buffer.concat([head, body]);
  };
  const size = Buffer.alloc(12);
  size.writeUInt32BE(4000, 4);
  size.writeUInt32BE(3000, 8);
  const meta = box('meta', Buffer.alloc(4), box('iprp', box('ipco', box('ispe', size))));
  return Buffer.concat([box('ftyp', Buffer.from('heic\0\0\0\0heic', 'latin1')), meta, box('mdat', Buffer.alloc(64))]);
}

test('a folder with the same photo under two names is opened, and the second is marked', async () => {
  const page = await app.openAgain({ locale: 'en-GB', viewport: desk });
  await chooseFiles(page, 'Open plan and photos', [
    { name: 'plan.json', mimeType: 'application/json', buffer: await readFile(join(sampleFolder, 'plan.json')) },
    { name: 'a.jpg', mimeType: 'image/jpeg', buffer: await readFile(photo('01.jpg')) },
    { name: 'b.jpg', mimeType: 'image/jpeg', buffer: await readFile(photo('01.jpg')) },
  ]);
  await page.getByRole('button', { name: 'Check the rod' }).waitFor();
  await page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: /^Photos/ })
    .click();
  await says(page, 'b.jpg').toMatch(/Won’t do\s+The same photo as a\.jpg/);
  expect(await coverage(page).innerText()).toContain('Once: tiles 1 to 2.');
});

test('photos are pasted and dropped', async () => {
  const page = await atPhotos();
  const bytes = [...(await readFile(photo('02.jpg')))];
  await page.evaluate((data) => {
    const transfer = new DataTransfer();
    transfer.items.add(new File([new Uint8Array(data)], 'pasted.jpg', { type: 'image/jpeg' }));
    window.dispatchEvent(new ClipboardEvent('paste', { clipboardData: transfer }));
  }, bytes);
  await says(page, 'pasted.jpg').toContain('Good');
  const session = await page.context().newCDPSession(page);
  const box = (await page.getByRole('button', { name: 'Choose photos' }).boundingBox())!;
  const data = { items: [], files: [photo('03.jpg')], dragOperationsMask: 1 };
  for (const type of ['dragEnter', 'dragOver', 'drop'] as const)
    await session.send('Input.dispatchDragEvent', { type, x: box.x + 5, y: box.y + 5, data });
  await says(page, '03.jpg').toContain('Good');
});

test('where the page has no camera to ask for, the file way stays and it is said', async () => {
  const context = await app.newContext({ locale: 'en-GB' });
  await context.addInitScript(() => Object.defineProperty(navigator, 'mediaDevices', { value: undefined }));
  const page = await app.open(context);
  await page.getByRole('button', { name: 'New build' }).click();
  await page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: /^Photos/ })
    .click();
  await page.getByText('The guided view needs https').waitFor();
  expect(await page.getByRole('button', { name: 'Guide me with the camera' }).count()).toBe(0);
  await chooseFiles(page, 'Take a photo', [photo('01.jpg')]);
  await says(page, '01.jpg').toContain('Good');
});
