import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';
import { LongestFirst } from '../longest_first.ts';

/** Tests in a real browser against the built app; run after `npm run build`. */
export default defineConfig({
  test: {
    root: fileURLToPath(new URL('../..', import.meta.url)),
    include: ['tests/browser/**/*.test.ts'],
    testTimeout: 500_000,
    hookTimeout: 120_000,
    globalSetup: 'tests/browser/shared.ts',
    // a check takes one core, what a page waits for (saving, workers, the camera's frames) none
    maxWorkers: 3,
    // the files share their processes: what they import is loaded once in each
    isolate: false,
    sequence: { sequencer: LongestFirst },
    expect: { poll: { timeout: 60_000 } },
  },
});
