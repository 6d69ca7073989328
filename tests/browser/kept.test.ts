import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { appUnderTest, openSample, runCheck } from './app_page.ts';
import { openOnePhoto, openPlanned, openShortWalk } from './sample_build.ts';

const app = appUnderTest();

const setThread = async (page: Page, colour: string) => {
  await page.getByText('Looks').click();
  await page.getByRole('button', { name: colour }).click();
  await page.getByText('Looks').click();
};
const chosenThread = async (page: Page) => {
  await page.getByText('Looks').click();
  const name = await page.locator('.swatch[aria-pressed=true]').getAttribute('aria-label');
  await page.getByText('Looks').click();
  return name;
};
/** Makes every further writing to the named stores fail as a full disk does. */
const fillStorage = (page: Page, stores: string[]) =>
  page.evaluate((full) => {
    const { put } = Object.getOwnPropertyDescriptors(IDBObjectStore.prototype);
    const write = put!.value as (this: IDBObjectStore, value: unknown, key?: IDBValidKey) => IDBRequest;
    Object.assign(window, { freeStorage: () => Object.defineProperty(IDBObjectStore.prototype, 'put', put!) });
    IDBObjectStore.prototype.put = function (this: IDBObjectStore, value: unknown, key?: IDBValidKey) {
      if (full.includes(this.name)) throw new DOMException('no room', 'QuotaExceededError');
      return write.call(this, value, key);
    };
  }, stores);
const freeStorage = (page: Page) =>
  page.evaluate(() => (window as unknown as { freeStorage: () => void }).freeStorage());

test('each change is kept at once and can be taken back, also after going to another step', async () => {
  const page = await app.open();
  await openPlanned(page, 'Mat');
  await setThread(page, 'Green');
  await page.getByRole('link', { name: /^Plan/ }).click();
  await page.getByText('Saved', { exact: true }).waitFor();
  await page.getByRole('button', { name: 'Undo: thread colour' }).click();
  expect(await chosenThread(page)).toBe('Blue');
  await page.getByRole('button', { name: 'Redo: thread colour' }).click();
  await page.getByText('Saved', { exact: true }).waitFor();
  await page.reload();
  await page.getByText('Looks').waitFor();
  expect(await chosenThread(page)).toBe('Green');
});

test('a page killed in the middle of a check says what happened; two tabs follow each other', async () => {
  const context = await app.newContext();
  const first = await app.open(context);
  await openOnePhoto(first);
  await first.getByRole('button', { name: 'Check the rod' }).click();
  await first.getByRole('progressbar').waitFor();
  await first.reload();
  await first.getByText('The page closed in the middle of a check.').waitFor();
  const second = await app.open(context);
  await second.goto(first.url());
  await second.getByText('Looks').waitFor();
  await setThread(first, 'Blue');
  await first.getByText('Saved', { exact: true }).waitFor();
  await expect.poll(() => chosenThread(second)).toBe('Blue');
  await setThread(second, 'Purple');
  await expect.poll(() => chosenThread(first)).toBe('Purple');
});

test('a change made on an old state is not written over a newer one, and both can be kept', async () => {
  const context = await app.newContext();
  const first = await app.open(context);
  await openPlanned(first, 'Plan');
  // another tab's saving that this one has not heard of
  await first.evaluate(async () => {
    const open = indexedDB.open('prewrap');
    const database = await new Promise<IDBDatabase>((resolve) => {
      open.onsuccess = () => resolve(open.result);
    });
    const store = database.transaction('builds', 'readwrite').objectStore('builds');
    const all = store.getAll();
    await new Promise<void>((resolve) => {
      all.onsuccess = () => {
        const build = all.result[0];
        store.put({ ...build, revision: build.revision + 1, document: { ...build.document, thread: '#1f5f8b' } });
        resolve();
      };
    });
    database.close();
  });
  await setThread(first, 'Green');
  await first.getByText('This build was changed in another tab').waitFor();
  await first.getByRole('button', { name: 'Keep mine as a copy' }).click();
  await first.getByText('Alder brook rod, one piece (copy)').waitFor();
  await first.getByRole('link', { name: 'All builds' }).click();
  await expect.poll(() => first.locator('.card').count()).toBe(2);
});

test('with no room left nothing is lost, it is said, and it is kept once there is room again, in each tab', async () => {
  const context = await app.newContext();
  const page = await app.open(context);
  await openOnePhoto(page);
  const other = await app.open(context);
  await other.goto(page.url());
  await other.getByText('Looks').waitFor();
  await fillStorage(page, ['builds', 'checks']);
  await setThread(page, 'Green');
  await page.getByText('This browser has no more room').waitFor();
  expect(await chosenThread(page)).toBe('Green');
  const answer = await runCheck(page);
  expect(answer).toMatch(/guide/);
  // with room for the document alone it saves well, and hides nothing of the check that is not kept
  await freeStorage(page);
  await fillStorage(page, ['checks']);
  await setThread(page, 'Charcoal');
  await page.waitForTimeout(500);
  expect(await page.getByText('Saved', { exact: true }).count()).toBe(0);
  await page.getByText('This browser has no more room').waitFor();
  await freeStorage(page);
  await page.getByRole('button', { name: 'Try saving again' }).click();
  await page.getByText('Saved', { exact: true }).waitFor();
  // a check made in one tab shows in the other
  await other.getByRole('status', { name: 'Is it ready' }).getByText(answer).waitFor();
  expect(await chosenThread(other)).toBe('Charcoal');
  await page.reload();
  await page.getByRole('status', { name: 'Is it ready' }).getByText(answer).waitFor();
  expect(await chosenThread(page)).toBe('Charcoal');
});

test('a database of the first version is brought up to date with its builds', async () => {
  const page = await app.open();
  await openShortWalk(page);
  await page.goto(new URL('icon.svg', app.url).href);
  // back to the first version: builds and photos only
  await page.evaluate(async () => {
    const whole = <T>(request: IDBRequest<T>) =>
      new Promise<T>((resolve, reject) => {
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
      });
    const now = await whole(indexedDB.open('prewrap'));
    const kept: Record<string, unknown[]> = {};
    for (const name of ['builds', 'photos']) kept[name] = await whole(now.transaction(name).objectStore(name).getAll());
    now.close();
    await whole(indexedDB.deleteDatabase('prewrap'));
    const first = indexedDB.open('prewrap', 1);
    first.onupgradeneeded = () => {
      first.result.createObjectStore('builds', { keyPath: 'id' });
      first.result.createObjectStore('photos', { keyPath: 'id' }).createIndex('byBuild', 'buildId');
    };
    const database = await whole(first);
    const transaction = database.transaction(['builds', 'photos'], 'readwrite');
    for (const [name, values] of Object.entries(kept))
      for (const value of values) transaction.objectStore(name).put(value);
    await new Promise<void>((resolve) => {
      transaction.oncomplete = () => resolve();
    });
    database.close();
  });
  await page.goto(app.url);
  await page.getByRole('link', { name: /Alder brook rod/ }).click();
  // the photos are read anew out of what was kept
  await page.getByRole('link', { name: /^Photos/ }).click();
  const photos = page.getByRole('list', { name: 'Photos of this shoot' });
  await expect
    .poll(() => photos.innerText(), { timeout: 120_000 })
    .toMatch(/01\.jpg[\s\S]*Good[\s\S]*02\.jpg[\s\S]*Good/);
});

test('a browser that keeps nothing says so, and a rod can be looked at all the same', async () => {
  const context = await app.newContext();
  await context.addInitScript(() => {
    IDBFactory.prototype.open = () => {
      throw new DOMException('storage is switched off', 'SecurityError');
    };
  });
  const page = await app.open(context);
  await page.getByText('This browser keeps nothing on this page (storage is switched off).').waitFor();
  await openSample(page, 'Only in this tab');
  await page.getByRole('link', { name: /^Photos/ }).click();
  await page.getByText('06.jpg').first().waitFor();
  await page.getByRole('link', { name: 'All builds' }).click();
  await page.getByRole('link', { name: /Alder brook rod/ }).click();
  await page.getByRole('link', { name: /^Photos/ }).click();
  await page.getByText('06.jpg').first().waitFor();
});

test('the address of a build that is not kept here says so and leads back', async () => {
  const page = await app.open();
  await page.goto(`${app.url}#/build/elsewhere/check`);
  await page.getByRole('heading', { name: 'That build isn’t kept in this browser.' }).waitFor();
  await page.getByRole('link', { name: 'All builds' }).click();
  await page.getByRole('heading', { name: 'No builds yet' }).waitFor();
});
