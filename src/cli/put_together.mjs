/** Puts the command line together in a folder, a script for each of its threads: `node src/cli/put_together.mjs FOLDER`. What lies beside that folder is outdated. */
import { cpSync, existsSync, mkdirSync, mkdtempSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';

const root = join(dirname(fileURLToPath(import.meta.url)), '../..');
const folder = process.argv[2];
const beside = dirname(folder);
mkdirSync(beside, { recursive: true });
const made = mkdtempSync(join(root, 'build-'));
try {
  await build({
    configFile: false,
    root,
    logLevel: 'error',
    ssr: { noExternal: true, external: ['sharp'] },
    build: {
      ssr: true,
      outDir: made,
      target: 'node20',
      emptyOutDir: false,
      // only browsers take it
      rolldownOptions: {
        external: 'virtual:opencv',
        input: { main: join(root, 'src/cli/main.ts'), thread: join(root, 'src/cli/thread.ts') },
        output: { entryFileNames: '[name].js', chunkFileNames: '[name].js' },
      },
    },
  });
  // the finder's networks are read from beside the code
  const finder = join(root, 'src/vision/finder');
  for (const name of readdirSync(finder)) if (name.endsWith('.onnx')) cpSync(join(finder, name), join(made, name));
  // another command may have put the same together meanwhile
  if (!existsSync(folder)) renameSync(made, folder);
} finally {
  rmSync(made, { recursive: true, force: true });
}
for (const name of readdirSync(beside))
  if (join(beside, name) !== folder) rmSync(join(beside, name), { recursive: true, force: true });
