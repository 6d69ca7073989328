import { expect, test } from 'vitest';
import { appUnderTest, desk, openSample, runCheck } from './app_page.ts';

const app = appUnderTest();

// the sample's guides G2 (foot on the mark), G3 (3.2 mm off) and G5 (rolled 5 degrees) were set wrong on purpose
test('the sample is checked by the real measuring and says what to move', async () => {
  const page = await app.open(await app.newContext({ viewport: desk }));
  await openSample(page);
  expect(await runCheck(page)).toBe('Move three guides.');
  const moves = await page.getByRole('region', { name: 'What must move' }).getByRole('listitem').allInnerTexts();
  expect(
    moves.map((text) =>
      text
        .match(/(Slide|Turn) (G\d)/)
        ?.slice(1)
        .join(' '),
    ),
  ).toEqual(['Slide G2', 'Slide G3', 'Turn G5']);
  expect(moves[1]).toMatch(/Slide G3 (3\.[0-4]|2\.9) mm toward the tip/);
});

test('each guide opens to its figures and its close-ups with fitted rims', async () => {
  const page = await app.open();
  await openSample(page);
  await runCheck(page);
  const rows = page.getByRole('region', { name: 'One by one' }).getByRole('button');
  expect(await rows.count()).toBe(7);
  await rows.nth(6).click();
  const open = page.locator('.item-open');
  await expect.poll(() => open.locator('.close-up').count()).toBeGreaterThan(0);
  expect(await open.locator('.facts').innerText()).toMatch(/Found\s+9\d\d\.\d mm, give or take \d/);
  const drawn = await open
    .locator('.close-up')
    .first()
    .evaluate((figure) => {
      const image = figure.querySelector('image')!;
      return {
        loaded: image.getAttribute('href')?.startsWith('blob:'),
        rims: figure.querySelector('.rim')!.getAttribute('d'),
      };
    });
  expect(drawn.loaded).toBe(true);
  expect(drawn.rims).toMatch(/^M[\d.]+ [\d.]+L/);
  expect(page.url()).toMatch(/check\/G7$/);
});

test('a running check shows its stages and can be stopped without losing anything', async () => {
  const page = await app.open();
  await openSample(page);
  await page.getByRole('button', { name: 'Check the rod' }).click();
  const bar = page.getByRole('progressbar');
  await bar.waitFor();
  await expect.poll(async () => Number(await bar.getAttribute('value')), { timeout: 60_000 }).toBeGreaterThan(0);
  expect((await page.locator('.running [role=status]').innerText()).length).toBeGreaterThan(3);
  await page.getByRole('button', { name: 'Stop' }).click();
  await page.getByText('The check was stopped. Nothing was lost.').waitFor();
  expect(await page.getByRole('button', { name: 'Check the rod' }).isEnabled()).toBe(true);
  await expect.poll(() => page.workers().length).toBe(0);
});

test('the page is never held up for over 100 ms while a check runs', async () => {
  const page = await app.open();
  await openSample(page);
  await page.evaluate(() => {
    const seen: number[] = [];
    Object.assign(window, { longTasks: seen });
    new PerformanceObserver((list) => {
      for (const entry of list.getEntries()) seen.push(entry.duration);
    }).observe({ type: 'longtask' });
  });
  await runCheck(page);
  const longTasks = await page.evaluate(() => (window as unknown as { longTasks: number[] }).longTasks);
  expect(Math.max(0, ...longTasks)).toBeLessThan(100);
});

test('a reload comes back to the same place with the answer', async () => {
  const page = await app.open();
  await openSample(page);
  const answer = await runCheck(page);
  await page.getByRole('button', { name: /^G3/ }).click();
  await page.reload();
  await page.getByRole('status', { name: 'Is it ready' }).getByText(answer).waitFor();
  expect(await page.locator('.item-open .item-id').innerText()).toBe('G3');
});

test('the sample can be thrown away', async () => {
  const page = await app.open();
  await openSample(page);
  await page.getByRole('link', { name: 'All builds' }).click();
  await page.getByRole('button', { name: /^Throw away/ }).click();
  await page.getByRole('button', { name: 'Throw it away' }).click();
  await page.getByRole('heading', { name: 'No builds yet' }).waitFor();
  const left = await page.evaluate(async () => {
    const open = indexedDB.open('prewrap');
    const database = await new Promise<IDBDatabase>((resolve) => {
      open.onsuccess = () => resolve(open.result);
    });
    const counts = ['builds', 'photos', 'checks'].map(
      (name) =>
        new Promise<number>((resolve) => {
          const count = database.transaction(name).objectStore(name).count();
          count.onsuccess = () => resolve(count.result);
        }),
    );
    return Promise.all(counts);
  });
  expect(left).toEqual([0, 0, 0]);
});
