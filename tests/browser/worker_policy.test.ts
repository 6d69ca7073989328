import { cp, mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { appUnderTest } from './app_page.ts';
import { checkedBuild } from './checked_build.ts';
import { openZip } from './sample_build.ts';
import { distFolder } from './dist_folder.ts';
import { serveFolder } from './static_server.ts';

const app = appUnderTest();
/** another server, with a script any page may take, and the app on a host that sends no policies */
let elsewhere: Awaited<ReturnType<typeof serveFolder>>;
let plainHost: Awaited<ReturnType<typeof serveFolder>>;
let plainFolder: string;
beforeAll(async () => {
  elsewhere = await serveFolder(distFolder, { subPath: '/' });
  plainFolder = await mkdtemp(join(tmpdir(), 'prewrap-plain-'));
  await cp(distFolder, plainFolder, { recursive: true });
  await rm(join(plainFolder, '_headers'));
  plainHost = await serveFolder(plainFolder);
});
afterAll(async () => {
  await elsewhere.stop();
  await plainHost.stop();
  await rm(plainFolder, { recursive: true });
});

/**
 * Runs a function's text in a worker of the page, as the debugger does and without a helper of its own, which would
 * need text run as code.
 */
async function inWorker(page: Page, name: string, text: string): Promise<unknown> {
  const session = await page.context().newCDPSession(page);
  const attached = new Promise<string>((resolve) => {
    session.on('Target.attachedToTarget', ({ sessionId, targetInfo }) => {
      if (targetInfo.url.includes(`${name}.worker-`)) resolve(sessionId);
    });
  });
  await session.send('Target.setAutoAttach', { autoAttach: true, waitForDebuggerOnStart: false, flatten: false });
  const sessionId = await attached;
  const params = { expression: `(${text})()`, awaitPromise: true, returnByValue: true };
  const ask = async (id: number) => {
    const answered = new Promise<unknown>((resolve) => {
      session.on('Target.receivedMessageFromTarget', ({ message }) => {
        const answer = JSON.parse(message) as { id?: number; result?: { result: { value: unknown } } };
        if (answer.id === id) resolve(answer.result?.result.value);
      });
    });
    await session.send('Target.sendMessageToTarget', {
      sessionId,
      message: JSON.stringify({ id, method: 'Runtime.evaluate', params }),
    });
    return answered;
  };
  let value = await ask(1);
  // A worker that is only being set up does not wait for the promise and answers with nothing.
  for (let id = 2; id < 50 && JSON.stringify(value) === '{}'; id++) {
    await new Promise((resolve) => setTimeout(resolve, 100));
    value = await ask(id);
  }
  await session.detach();
  return value;
}

/** What a worker can do that it should not: in a task of its own, since what the debugger evaluates is exempt. */
const tryWays = (page: Page, name: string, other: string) =>
  inWorker(
    page,
    name,
    `async () => {
      // once it can be asked for something, all that it does before is done
      while (!self.onmessage) await new Promise((resolve) => setTimeout(resolve, 20));
      return new Promise((resolve) => {
      const url = ${JSON.stringify(other)};
      const works = async (way) => { try { await way(); return true; } catch { return false; } };
      setTimeout(async () => resolve({
        text: await works(() => new Function('return 1')()),
        async: await works(() => (async () => {}).constructor('return 1')()),
        fetch: await works(() => fetch(url, { mode: 'no-cors' })),
        request: await works(() => new XMLHttpRequest().open('GET', url)),
        socket: await works(() => new WebSocket(url.replace('http', 'ws'))),
      }), 0);
    }); }`,
  );

async function openBuild(page: Page): Promise<void> {
  await openZip(page, await checkedBuild());
  await page.getByRole('link', { name: /^Photos/ }).waitFor();
}

for (const host of ['that sends the policies', 'that sends none'])
  test(`on a host ${host}, workers reach no other server`, async () => {
    const page = await app.open();
    if (host === 'that sends none') await page.goto(plainHost.url);
    await openBuild(page);
    const other = new URL('icon.svg', elsewhere.url).href;
    const nothing = { text: false, async: false, fetch: false, request: false, socket: false };
    // a host without headers can forbid no text as code
    const code = host === 'that sends none';
    expect(await tryWays(page, 'desk', other)).toEqual({ ...nothing, text: code, async: code });
    await page.getByRole('link', { name: /^Photos/ }).click();
    // the tags are read all the same: the made-up photos have none
    await page.getByText('No tag of the mat was read').first().waitFor({ timeout: 120_000 });
    expect(await tryWays(page, 'tags', other)).toEqual({ ...nothing, text: true, async: true });
    const tried = tryWays(page, 'check', other);
    await page.getByRole('link', { name: /^Check/ }).click();
    await page.getByRole('button', { name: /^Check (the rod|again)/ }).click();
    expect(await tried).toEqual({ ...nothing, text: true, async: true });
    app.complaints.splice(0);
  });

test('with the policies a worker takes no script from elsewhere', async () => {
  const page = await app.open();
  await openBuild(page);
  const script = new URL('service_worker.js', elsewhere.url).href;
  const take = `() => new Promise((resolve) =>
    setTimeout(() => import(${JSON.stringify(script)}).then(() => resolve(true), () => resolve(false)), 0))`;
  const taken = await inWorker(page, 'desk', take);
  expect(taken).toBe(false);
  app.complaints.splice(0);
});

test('the licence of every package that is shipped goes along', async () => {
  const text = await readFile(join(distFolder, 'licences.txt'), 'utf8');
  for (const name of ['@techstark/opencv-js', 'fflate', 'idb', 'react', 'react-dom', 'scheduler', 'zod'])
    expect(text).toMatch(new RegExp(`^${name} \\d`, 'm'));
  expect(text).toContain('Permission is hereby granted, free of charge');
  expect(text).toContain('Apache License');
});
