import { fileURLToPath } from 'node:url';
import type { Browser } from 'playwright-core';
import { build } from 'vite';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { loadFinder } from '../../src/vision/finder/finder.ts';
import { type Peak, stripPeaks } from '../../src/vision/finder/peaks.ts';
import { finderWeights } from '../../src/vision/finder/weights_node.ts';
import { heldOutEntries, readHeldOut } from '../seeing/held_out.ts';
import { sharedBrowser } from './app_page.ts';

let browser: Browser;
beforeAll(async () => {
  browser = await sharedBrowser();
});
afterAll(() => browser.close());

async function finderScript(): Promise<string> {
  const built = await build({
    configFile: false,
    logLevel: 'error',
    build: {
      write: false,
      minify: false,
      lib: {
        entry: fileURLToPath(new URL('finder_entry.ts', import.meta.url)),
        formats: ['iife'],
        name: 'eye',
      },
    },
  });
  const [output] = (Array.isArray(built) ? built : [built]) as { output: { code: string }[] }[];
  return output!.output[0]!.code;
}

const text = (bytes: Uint8Array) => Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString('base64');

test('the same strip gives the same list in the browser as in Node', async () => {
  const weights = await finderWeights();
  const entry = heldOutEntries('strips').find(({ columns, things }) => columns < 1800 && things.length > 3)!;
  const { planes } = await readHeldOut(entry);
  const finder = await loadFinder(weights);
  const here = stripPeaks(finder.strip.run(planes.data, planes.width, planes.rows), planes);
  expect(here.length).toBeGreaterThan(2);

  const page = await browser.newPage();
  await page.addScriptTag({ content: await finderScript() });
  const there = await page.evaluate(
    async ([strip, lane, tip, data, rows, width, columns]) => {
      const bytes = async (base64: string) =>
        new Uint8Array(await (await fetch(`data:application/octet-stream;base64,${base64}`)).arrayBuffer());
      const { eye } = self as unknown as { eye: { loadFinder: typeof loadFinder; stripPeaks: typeof stripPeaks } };
      const own = await eye.loadFinder({ strip: await bytes(strip), lane: await bytes(lane), tip: await bytes(tip) });
      const picture = { rows, width, columns, data: new Float32Array((await bytes(data)).buffer) };
      return eye.stripPeaks(own.strip.run(picture.data, width, rows), picture);
    },
    [
      text(weights.strip),
      text(weights.lane),
      text(weights.tip),
      text(new Uint8Array(planes.data.buffer)),
      planes.rows,
      planes.width,
      planes.columns,
    ] as const,
  );
  const rounded = (peaks: Peak[]) =>
    peaks.map(({ kind, score, column, row, radius }) =>
      [kind, ...[score, column, row, radius].map((value) => value.toFixed(3))].join(' '),
    );
  expect(rounded(there)).toEqual(rounded(here));
});
