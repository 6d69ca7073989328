import { expect, test } from 'vitest';
import { appUnderTest, openSample, runCheck } from './app_page.ts';

// a name that is not localhost is not a secure context, as on a workshop's own network
const app = appUnderTest(['--host-resolver-rules=MAP bench.test 127.0.0.1']);

test('over plain http on the local network a rod is checked all the same', async () => {
  const page = await (await app.newContext()).newPage();
  await page.goto(app.url.replace('localhost', 'bench.test'));
  expect(await page.evaluate(() => window.isSecureContext)).toBe(false);
  await openSample(page);
  expect(await runCheck(page)).toBe('Move three guides.');
  await page.reload();
  await page.getByRole('status', { name: 'Is it ready' }).waitFor();
});
