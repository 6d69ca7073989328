import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { unpackZip } from '../../src/store/zip.ts';
import { appUnderTest, downloaded } from './app_page.ts';
import { checkedBuild } from './checked_build.ts';
import { openZip } from './sample_build.ts';

const app = appUnderTest();

async function openBuild(page: Page): Promise<void> {
  await openZip(page, await checkedBuild());
  await page.getByText('Saved', { exact: true }).waitFor();
}

/** Writes each record of a store anew as `change` (a function's text) makes it. */
const rewrite = (page: Page, store: string, change: string) =>
  page.evaluate(
    async ([name, text]) => {
      const whole = <T>(request: IDBRequest<T>) =>
        new Promise<T>((resolve, reject) => {
          request.onsuccess = () => resolve(request.result);
          request.onerror = () => reject(request.error);
        });
      const changes: Record<string, (record: Record<string, unknown>) => unknown> = {
        'bad date': (record) => ({ ...record, changedAt: 'yesterday', at: 'yesterday' }),
        'no document': (record) => ({ ...record, document: undefined }),
        'no title': (record) => ({ ...record, document: { ...(record['document'] as object), plan: null } }),
        'huge number': (record) => {
          const document = record['document'] as { plan: { blank: object } };
          const plan = { ...document.plan, blank: { ...document.plan.blank, length: 1e308 } };
          return { ...record, document: { ...document, plan } };
        },
        'no report': (record) => ({ ...record, report: undefined }),
      };
      const database = await whole(indexedDB.open('prewrap'));
      const records = await whole(database.transaction(name!).objectStore(name!).getAll());
      for (const record of records)
        await whole(database.transaction(name!, 'readwrite').objectStore(name!).put(changes[text!]!(record)));
      database.close();
    },
    [store, change],
  );

for (const fault of ['bad date', 'no document', 'no title', 'huge number'])
  test(`a kept build with ${fault} is told, the others are shown, and what is there can be saved`, async () => {
    const page = await app.open();
    await openBuild(page);
    const address = page.url();
    await page.getByRole('link', { name: 'All builds' }).click();
    await page.getByRole('heading', { name: 'Your builds' }).waitFor();
    await rewrite(page, 'builds', fault);
    await page.getByRole('button', { name: 'New build' }).click();
    await page.getByText('Saved', { exact: true }).waitFor();
    await page.getByRole('link', { name: 'All builds' }).click();
    await page.reload();
    await page.getByText('A build that can’t be read').first().waitFor();
    await page.getByRole('link', { name: /New rod/ }).waitFor();
    const saving = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save what is there' }).click();
    const files = unpackZip(await downloaded(await saving), 'damaged-build.zip');
    expect([...files.keys()].toSorted()).toEqual(['check-1.json', 'photos/1.jpg', 'photos/2.jpg', 'record.json']);
    await page.goto(address);
    await page.getByRole('heading', { name: 'What is kept of that build is damaged' }).waitFor();
  });

for (const fault of ['bad date', 'no report'])
  test(`a kept check with ${fault} is told, and its build is shown without it`, async () => {
    const page = await app.open();
    await openBuild(page);
    await rewrite(page, 'checks', fault);
    await page.reload();
    await page.getByText('One earlier check of this build is kept but can’t be read').waitFor();
    await page.getByRole('button', { name: 'Check the rod' }).waitFor();
  });

test('a database of a newer version is left alone, and it is said', async () => {
  const page = await app.open();
  await page.goto(new URL('icon.svg', app.url).href);
  await page.evaluate(
    () =>
      new Promise<void>((resolve) => {
        const request = indexedDB.open('prewrap', 99);
        request.onsuccess = () => {
          request.result.close();
          resolve();
        };
      }),
  );
  await page.goto(app.url);
  await page.getByText('A newer version of Prewrap has kept builds in this browser').waitFor();
  await page.getByRole('button', { name: 'New build' }).click();
  await page.getByText('Only in this tab', { exact: true }).waitFor();
  expect(await page.getByText('Saved', { exact: true }).count()).toBe(0);
});

test('a store that never answers is told after a while, and the app can be used', async () => {
  const context = await app.newContext();
  await context.addInitScript(() => {
    const open = Object.getOwnPropertyDescriptor(IDBFactory.prototype, 'open')!.value as typeof indexedDB.open;
    IDBFactory.prototype.open = function (this: IDBFactory, name: string, version?: number) {
      return Object.assign(open.call(this, name, version), { addEventListener: () => {} });
    };
  });
  const page = await app.open(context);
  await page.getByText('This browser’s store does not answer').waitFor();
  await page.getByRole('button', { name: 'New build' }).click();
  await page.getByText('Only in this tab', { exact: true }).waitFor();
});

test('a page whose session storage throws opens builds all the same', async () => {
  const context = await app.newContext();
  await context.addInitScript(() => {
    Object.defineProperty(window, 'sessionStorage', {
      get() {
        throw new DOMException('blocked', 'SecurityError');
      },
    });
  });
  const page = await app.open(context);
  await openBuild(page);
  await page.reload();
  await page.getByText('Saved', { exact: true }).waitFor();
});
