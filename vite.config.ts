import { readdir, readFile } from 'node:fs/promises';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import react from '@vitejs/plugin-react';
import sharp from 'sharp';
import type { Plugin } from 'vite';
import { defineConfig } from 'vitest/config';

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));
const sampleFolder = here('fixtures/sample');
const iconSizes = [192, 512];

async function filesUnder(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true, recursive: true });
  return entries
    .filter((entry) => entry.isFile())
    .map((entry) => relative(folder, join(entry.parentPath, entry.name)).replaceAll('\\', '/'))
    .toSorted();
}

/** The sample build's files, served as they stand under `sample/`: fetched only when someone asks for the sample. */
function sampleBuild(): Plugin {
  return {
    name: 'sample-build',
    configureServer(server) {
      server.middlewares.use('/sample', (request, response, next) => {
        const file = join(sampleFolder, decodeURIComponent((request.url ?? '').split('?')[0] ?? ''));
        if (!file.startsWith(sampleFolder)) return next();
        readFile(file).then((bytes) => response.end(bytes), next);
      });
    },
    async buildStart() {
      if (this.environment.config.command !== 'build') return;
      for (const file of await filesUnder(sampleFolder))
        this.emitFile({
          type: 'asset',
          fileName: `sample/${file}`,
          source: await readFile(join(sampleFolder, file)),
        });
    },
  };
}

/** PNG icons out of the one drawing, at the sizes an installed app is asked for. */
function icons(): Plugin {
  return {
    name: 'icons',
    async buildStart() {
      if (this.environment.config.command !== 'build') return;
      const drawing = await readFile(here('src/public/icon.svg'));
      for (const size of iconSizes)
        this.emitFile({
          type: 'asset',
          fileName: `icon-${size}.png`,
          source: await sharp(drawing, { density: 300 }).resize(size, size).png().toBuffer(),
        });
    },
  };
}

/**
 * Tells the service worker which files make up this build: `shell` is kept at once, the rest on first use. The list
 * stands in the worker's own text, so a new build is a new worker and the browser sees that there is an update.
 */
function buildList(): Plugin {
  return {
    name: 'build-list',
    enforce: 'post',
    generateBundle(_options, bundle) {
      const worker = bundle['service_worker.js'];
      if (worker?.type !== 'chunk') return;
      const names = Object.keys(bundle).filter((name) => name !== 'service_worker.js' && !name.endsWith('.map'));
      const late = (name: string) => name.startsWith('sample/') || /opencv|\.onnx$/.test(name);
      const sizeOf = (name: string) => {
        const output = bundle[name]!;
        return output.type === 'chunk' ? output.code.length : output.source.length;
      };
      const opencv = names.find((name) => /opencv/.test(name) && name.endsWith('.js'));
      const list = {
        shell: [
          './',
          'build.json',
          'manifest.webmanifest',
          'icon.svg',
          ...names.filter((name) => !late(name) && name !== 'index.html'),
        ],
        late: names.filter((name) => late(name) && !name.startsWith('sample/')),
      };
      worker.code = worker.code.replace(/(['"`])__BUILD_LIST__\1/, () => JSON.stringify(JSON.stringify(list)));
      this.emitFile({
        type: 'asset',
        fileName: 'build.json',
        source: JSON.stringify({ opencv: opencv && { file: opencv, bytes: sizeOf(opencv) } }),
      });
    },
  };
}

export default defineConfig({
  root: here('src'),
  base: './',
  plugins: [react(), sampleBuild(), icons(), buildList()],
  worker: { format: 'es' },
  build: {
    outDir: here('dist'),
    emptyOutDir: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 12_000,
    rolldownOptions: {
      input: { index: here('src/index.html'), service_worker: here('src/app/workers/service_worker.ts') },
      output: {
        entryFileNames: (chunk) => (chunk.name === 'service_worker' ? 'service_worker.js' : 'assets/[name]-[hash].js'),
      },
    },
  },
  preview: { port: 4173, strictPort: true },
  test: {
    root: here('.'),
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/browser/**'],
    // a test that fails for a busy machine says nothing
    testTimeout: 60_000,
    hookTimeout: 60_000,
    // OpenCV's module object has a `then` of its own: merged into the namespace, importing it would never end.
    deps: { interopDefault: false },
  },
});
