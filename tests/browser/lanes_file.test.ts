import { fileURLToPath } from 'node:url';
import { build } from 'vite';
import { expect, test } from 'vitest';
import { appUnderTest } from './app_page.ts';
import { filesAside } from './files_aside.ts';
import type { LanesSaid } from './lanes_entry.ts';

const app = appUnderTest();

async function lanesScript(): Promise<string> {
  const entry = fileURLToPath(new URL('lanes_entry.ts', import.meta.url));
  const built = await build({
    configFile: false,
    logLevel: 'error',
    build: { write: false, minify: false, lib: { entry, formats: ['iife'], name: 'lanes' } },
  });
  const [output] = (Array.isArray(built) ? built : [built]) as { output: { code: string }[] }[];
  return output!.output[0]!.code;
}

test('what is held of photos beyond the limit lies in a file of the browser’s own until the worker has ended', async () => {
  const context = await app.newContext();
  const page = await app.open(context);
  const beside = await context.newPage();
  const script = await lanesScript();
  // a page without the app on the app's own address, with that worker
  await beside.route('**/lanes.*', (route) =>
    route.fulfill(
      route.request().url().endsWith('.js')
        ? { contentType: 'text/javascript', body: script }
        : { contentType: 'text/html', body: '<!doctype html><title>Lanes</title><h1>Lanes</h1>' },
    ),
  );
  await beside.goto(new URL('lanes.html', app.url).href);
  const said = await beside.evaluate(
    () =>
      new Promise<LanesSaid>((resolve, reject) => {
        const worker = new Worker('lanes.js');
        (self as unknown as { worker: Worker }).worker = worker;
        worker.onmessage = ({ data }) => resolve(data as LanesSaid);
        worker.onerror = ({ message }) => reject(new Error(message));
        worker.postMessage('go');
      }),
  );
  expect(said).toEqual({ opened: true, wrong: [] });
  // twelve photos of 6000 bytes, two of them in memory alone
  const [size, ...others] = await filesAside(beside);
  expect(others).toEqual([]);
  expect(size).toBeGreaterThanOrEqual(9 * 6000);
  expect(size).toBeLessThanOrEqual(12 * 6000);

  // a page that starts meanwhile leaves it alone
  await page.reload();
  await page.getByRole('heading', { level: 1 }).waitFor();
  expect(await filesAside(page)).toEqual([size]);

  // and one that starts when its worker is gone without a word clears it away
  await beside.close();
  await expect
    .poll(async () => {
      await page.reload();
      await page.getByRole('heading', { level: 1 }).waitFor();
      return filesAside(page);
    })
    .toEqual([]);
});
