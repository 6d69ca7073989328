import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { appUnderTest, runCheck } from './app_page.ts';
import { openOnePhoto, openShortWalk } from './sample_build.ts';
import { distFolder } from './dist_folder.ts';
import { serveFolder } from './static_server.ts';

const app = appUnderTest();
const scriptOf = (worker: string) =>
  `assets/${readdirSync(join(distFolder, 'assets')).find((name) => name.startsWith(`${worker}.worker-`))}`;
const script = scriptOf('hand');
const cores = "Object.defineProperty(navigator, 'hardwareConcurrency', { get: () => 8 });";
/** The check's own worker, as on a device with cores to spare. */
const checking = scriptOf('check');
const withCores = async () => Buffer.from(`${cores}\n${readFileSync(join(distFolder, checking), 'utf8')}`);

/** What a check of one photo says where the further worker's script is served so. */
async function checkedWith(made: Record<string, () => Promise<Buffer>>): Promise<string[]> {
  const server = await serveFolder(distFolder, { made: { [checking]: withCores, ...made } });
  try {
    const page = await (await app.newContext({ serviceWorkers: 'block' })).newPage();
    await page.goto(server.url);
    await openOnePhoto(page);
    const answer = await runCheck(page);
    const rows = await page.getByRole('region', { name: 'One by one' }).getByRole('button').allInnerTexts();
    await page.context().close();
    return [answer, ...rows];
  } finally {
    await server.stop();
  }
}

test('a check shares its pieces with a further worker, and says the same where that can’t be had', async () => {
  let answered = 0;
  // tells of each piece that it has brought
  const telling = `const own = self.postMessage.bind(self);
    self.postMessage = (message) => { if ('gives' in message) void fetch('answered', { cache: 'no-store' }); own(message); };
    ${readFileSync(join(distFolder, script), 'utf8')}`;
  const shared = await checkedWith({
    [script]: async () => Buffer.from(telling),
    'assets/answered': async () => Buffer.from(String(++answered)),
  });
  expect(answered).toBeGreaterThanOrEqual(2);
  expect(shared.length).toBeGreaterThan(7);
  const alone = await checkedWith({ [script]: () => Promise.reject(new Error('not here')) });
  expect(alone).toEqual(shared);
  app.complaints.splice(0);
});

test('two photos are looked at at once on a device that has cores for it', async () => {
  const context = await app.newContext();
  await context.addInitScript(cores);
  const page = await app.open(context);
  await openShortWalk(page);
  await page.getByRole('link', { name: /^Photos/ }).click();
  await expect.poll(() => page.getByText(/Good: sharp, 2[05] tags/).count(), { timeout: 120_000 }).toBe(2);
  const looking = page.workers().filter((worker) => worker.url().includes('tags.worker-'));
  expect(looking).toHaveLength(2);
});
