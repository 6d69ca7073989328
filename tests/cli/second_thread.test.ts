import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import { expect, test } from 'vitest';
import { piecesBy } from '../../src/check/pieces.ts';
import { twoHands } from '../../src/check/second_hand.ts';
import { type FinderWeights, loadFinder } from '../../src/vision/finder/finder.ts';
import { finderWeights } from '../../src/vision/finder/weights_node.ts';
import { emptyPhoto } from '../../src/photo/luma.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));

/** The second thread's script as the command line was put together last. */
function threadScript(): string {
  spawnSync(process.execPath, [join(root, 'src/cli/command.mjs'), 'verify']);
  const built = readdirSync(join(root, 'build'))
    .map((name) => join(root, 'build', name, 'thread.js'))
    .filter((file) => existsSync(file));
  return built.toSorted((a, b) => statSync(b).mtimeMs - statSync(a).mtimeMs)[0]!;
}

test('the second thread that is put together with the command line does pieces as this one does', async () => {
  const worker = new Worker(threadScript());
  const weights: FinderWeights = await finderWeights();
  const here = piecesBy(await loadFinder(weights));
  const photo = {
    ...emptyPhoto('made-up.jpg', 420, 220),
    luma: new Uint8Array(420 * 220).map((_, i) => (i * 7) % 251),
  };
  const camera = cameraLookingAt([30, 20, 290], [50, 0, 10], 1000, 420, 220);
  const strip = (index: number) => ({
    view: { photo, camera },
    index,
    axis: straightAxis(160, 1.5, 3, 8),
    range: { from: -10, to: 160 },
  });
  const answered: unknown[] = [];
  worker.on('message', (message) => answered.push(message));
  const thread = {
    post: (message: unknown, transfer: ArrayBuffer[]) => worker.postMessage(message, transfer),
    listen: ({ message, ended }: { message: (message: unknown) => void; ended: () => void }) =>
      worker.on('message', message).on('error', ended),
    end: () => void worker.terminate(),
  };
  const hands = twoHands(here, thread, weights);
  try {
    const seen = await hands.each('strip', 2, strip);
    expect(seen).toEqual([0, 1].map((index) => here('strip', strip(index))));
    expect(seen[0]!.classes.classes.length).toBeGreaterThan(1000);
    expect(answered).toEqual([{ piece: 1, gives: seen[0] }]);
  } finally {
    hands.letGo();
  }
});
