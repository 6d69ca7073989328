import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest, sampleFolder } from './app_page.ts';
import { chooseFiles } from './sample_build.ts';

const app = appUnderTest();

const photo = (name: string) => join(sampleFolder, 'photos', name);

/** Makes every further writing to the named stores fail as a full disk does; `freeStorage` gives room again. */
const fillStorage = (page: Page, stores: string[]) =>
  page.evaluate((full) => {
    const { put } = Object.getOwnPropertyDescriptors(IDBObjectStore.prototype);
    const write = put!.value as (this: IDBObjectStore, value: unknown) => IDBRequest;
    Object.assign(window, { freeStorage: () => Object.defineProperty(IDBObjectStore.prototype, 'put', put!) });
    IDBObjectStore.prototype.put = function (this: IDBObjectStore, value: unknown) {
      if (full.includes(this.name)) throw new DOMException('no room', 'QuotaExceededError');
      return write.call(this, value);
    };
  }, stores);
const freeStorage = (page: Page) =>
  page.evaluate(() => (window as unknown as { freeStorage: () => void }).freeStorage());

const goToStep = (page: Page, step: string) =>
  page
    .getByRole('navigation', { name: 'Steps of this build' })
    .getByRole('link', { name: new RegExp(`^${step}`) })
    .click();
const choosePhotos = (page: Page, files: string[]) => chooseFiles(page, 'Choose photos', files);
const rows = (page: Page) => page.getByRole('list', { name: 'Photos of this shoot' }).getByRole('listitem');
const setThread = async (page: Page, colour: string) => {
  await page.getByText('Looks').click();
  await page.getByRole('button', { name: colour }).click();
  await page.getByText('Looks').click();
};
/** A new build at its photos step with the sample's first photo. */
async function withOnePhoto(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'New build' }).click();
  await goToStep(page, 'Photos');
  await choosePhotos(page, [photo('01.jpg')]);
  await expect.poll(() => rows(page).count()).toBe(1);
  await page.getByText('Saved', { exact: true }).waitFor();
}

test('a photo that found no room is not called saved until it is kept or taken back, and leaving asks', async () => {
  const page = await app.open();
  await withOnePhoto(page);
  await fillStorage(page, ['photos']);
  await choosePhotos(page, [photo('02.jpg')]);
  await page.getByText('This browser has no more room').waitFor();
  // the document itself saves well, and hides nothing
  await setThread(page, 'Green');
  await page.waitForTimeout(500);
  expect(await page.getByText('Saved', { exact: true }).count()).toBe(0);
  const asked = page.waitForEvent('dialog');
  await page.evaluate(() => void setTimeout(() => window.location.reload(), 0));
  const dialog = await asked;
  expect(dialog.type()).toBe('beforeunload');
  await dialog.dismiss();
  // taken back, there is nothing left that is not kept
  await page.getByRole('button', { name: 'Undo: thread colour' }).click();
  await page.getByRole('button', { name: 'Undo: add a photo' }).click();
  await page.getByText('Saved', { exact: true }).waitFor();
  await page.getByRole('button', { name: 'Redo: add a photo' }).click();
  await page.getByText('This browser has no more room').waitFor();
  await freeStorage(page);
  await page.getByRole('button', { name: 'Try saving again' }).click();
  await page.getByText('Saved', { exact: true }).waitFor();
  await page.reload();
  await expect.poll(() => rows(page).count()).toBe(2);
  await expect.poll(() => rows(page).locator('img').count(), { timeout: 120_000 }).toBe(2);
});

test('a photo taken out in one tab can be put back by undo after another tab has opened and read the build', async () => {
  const context = await app.newContext();
  const first = await app.open(context);
  await withOnePhoto(first);
  await first.getByRole('button', { name: 'Take out 01.jpg', exact: true }).click();
  await expect.poll(() => rows(first).count()).toBe(0);
  await first.getByText('Saved', { exact: true }).waitFor();
  const second = await app.open(context);
  await second.goto(first.url());
  await second.getByText('Looks').waitFor();
  await second.reload();
  await second.getByText('Looks').waitFor();
  await first.getByRole('button', { name: /^Undo: take out/ }).click();
  await first.getByText('Saved', { exact: true }).waitFor();
  const kept = () =>
    first.evaluate(async () => {
      const open = indexedDB.open('prewrap');
      const database = await new Promise<IDBDatabase>((resolve) => {
        open.onsuccess = () => resolve(open.result);
      });
      const count = database.transaction('photos').objectStore('photos').count();
      const found = await new Promise<number>((resolve) => {
        count.onsuccess = () => resolve(count.result);
      });
      database.close();
      return found;
    });
  expect(await kept()).toBe(1);
  // with no tab left that could want it, the next start clears it away
  await first.getByRole('button', { name: 'Take out 01.jpg', exact: true }).click();
  await first.getByText('Saved', { exact: true }).waitFor();
  await second.close();
  await first.reload();
  await first.getByText('Looks').waitFor();
  await expect.poll(kept).toBe(0);
});
