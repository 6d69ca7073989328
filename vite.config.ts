import { readdir, readFile } from 'node:fs/promises';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import react from '@vitejs/plugin-react';
import sharp from 'sharp';
import type { Plugin } from 'vite';
import { defineConfig } from 'vitest/config';
import { openCvParts } from './src/vision/opencv_parts.ts';
import { LongestFirst } from './tests/longest_first.ts';

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
 * OpenCV's own file as two: its script as the module `virtual:opencv`, and its WebAssembly as a file, which browsers
 * compile while it arrives. The module is known by the file's own name, so that its licence is found.
 */
function openCvApart(): Plugin {
  const file = here('node_modules/@techstark/opencv-js/dist/opencv.js');
  const served = '/opencv.wasm';
  const parts = async () => openCvParts(await readFile(file));
  return {
    name: 'opencv-apart',
    enforce: 'pre',
    resolveId: (id) => (id === 'virtual:opencv' ? `${file}?apart` : undefined),
    async load(id) {
      if (!id.endsWith('opencv.js?apart')) return undefined;
      const { script, wasm } = await parts();
      const built = this.environment.config.command === 'build';
      const reference = built && this.emitFile({ type: 'asset', name: 'opencv.wasm', source: wasm });
      return `export const wasmFile = ${reference ? `import.meta.ROLLUP_FILE_URL_${reference}` : JSON.stringify(served)};
        export const wasmBytes = ${wasm.length};
        export function make(instantiateWasm) {
          const module = { exports: {} };
          (function (exports, require) {${script}}).call(module.exports, module.exports);
          return module.exports;
        }`;
    },
    configureServer(server) {
      server.middlewares.use(served, (_request, response, next) => {
        response.setHeader('Content-Type', 'application/wasm');
        parts().then(({ wasm }) => response.end(wasm), next);
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
      const list = {
        shell: [
          './',
          'manifest.webmanifest',
          'icon.svg',
          ...names.filter((name) => !late(name) && name !== 'index.html'),
        ],
        late: names.filter((name) => late(name) && !name.startsWith('sample/')),
      };
      worker.code = worker.code.replace(/(['"`])__BUILD_LIST__\1/, () => JSON.stringify(JSON.stringify(list)));
    },
  };
}

/** What a page or a worker of the app may do; the page says so itself, workers only by their headers. */
const policies = {
  page: "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; media-src 'self' blob:; connect-src 'self'; worker-src 'self'; manifest-src 'self'; font-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  worker: "default-src 'none'; script-src 'self'; connect-src 'self'",
  /** the finder's networks are WebAssembly that is made here */
  workerOfNetworks: "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'",
  /** OpenCV makes functions out of text */
  workerOfOpenCv: "default-src 'none'; script-src 'self' 'unsafe-eval'; connect-src 'self'",
};

const policyOfWorker: Record<string, string> = { desk: policies.worker, hand: policies.workerOfNetworks };

function headersFor(path: string): Record<string, string> {
  const worker = /^\/assets\/(\w+)\.worker-/.exec(path)?.[1];
  const policy = worker === undefined ? policies.page : (policyOfWorker[worker] ?? policies.workerOfOpenCv);
  return { 'Content-Security-Policy': policy, 'X-Content-Type-Options': 'nosniff', 'Referrer-Policy': 'no-referrer' };
}

/** `_headers`, as common static hosts read it: the policy of the page and of each worker. The preview sends the same. */
function headers(): Plugin {
  return {
    name: 'headers',
    enforce: 'post',
    generateBundle(_options, bundle) {
      const workers = Object.keys(bundle).filter((name) => /^assets\/\w+\.worker-/.test(name));
      const paths = ['/', '/index.html', ...workers.map((name) => `/${name}`)];
      const lines = paths.flatMap((path) => [
        path,
        ...Object.entries(headersFor(path)).map(([name, value]) => `  ${name}: ${value}`),
      ]);
      this.emitFile({ type: 'asset', fileName: '_headers', source: `${lines.join('\n')}\n` });
    },
    configurePreviewServer(server) {
      server.middlewares.use((request, response, next) => {
        for (const [name, value] of Object.entries(headersFor((request.url ?? '').split('?')[0]!)))
          response.setHeader(name, value);
        next();
      });
    },
  };
}

/** Packages whose code is in the bundle, workers included. */
const shipped = new Set<string>();

/** Notes which packages a bundle takes in: each worker is a bundle of its own. */
function notePackages(): Plugin {
  return {
    name: 'note-packages',
    generateBundle(_options, bundle) {
      for (const output of Object.values(bundle))
        for (const id of output.type === 'chunk' ? output.moduleIds : []) {
          const name = /.*\/node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(id)?.[1];
          if (name) shipped.add(name);
        }
    },
  };
}

/** `licences.txt`: the licence of every package whose code is shipped, in full. */
function licences(): Plugin {
  return {
    name: 'licences',
    enforce: 'post',
    async generateBundle() {
      const texts = await Promise.all([...shipped].toSorted().map(licenceOf));
      this.emitFile({ type: 'asset', fileName: 'licences.txt', source: texts.join(`\n${'-'.repeat(80)}\n\n`) });
    },
  };
}

async function licenceOf(name: string): Promise<string> {
  const folder = here(`node_modules/${name}`);
  const about = JSON.parse(await readFile(join(folder, 'package.json'), 'utf8')) as {
    version: string;
    license?: string;
  };
  const file = (await readdir(folder)).find((entry) => /^licen[cs]e(?:\.\w+)?$/i.test(entry));
  if (!file) throw new Error(`${name} is shipped and has no licence file: find its licence before shipping it`);
  return `${name} ${about.version} (${about.license ?? 'see below'})\n\n${await readFile(join(folder, file), 'utf8')}`;
}

const everyTest = ['tests/**/*.test.ts'];
const browserTests = ['tests/browser/**'];
/** Whole checks, fits on pictures, and commands in processes of their own: not for the inner loop. */
const slowTests = [
  'tests/{adjust,vision,seeing,fuzz}/**/*.test.ts',
  'tests/check/{pipeline,long_walk,world_check,repeated_photos,find_rings,held_photos,measure_blank,settle_blank}.test.ts',
  'tests/cli/{verify_shoots,rack,command_line,second_thread}.test.ts',
];
/** Checks and fits leave much behind at once: half as many collections, two parts in a hundred of the time. */
const fewCollections = '--max-semi-space-size=32';
/** They put a module of their own in place of another, which must not be loaded before. */
const mocking = ['tests/store/archive.test.ts', 'tests/cli/report_lost.test.ts'];

export default defineConfig({
  root: here('src'),
  base: './',
  plugins: [react(), openCvApart(), sampleBuild(), icons(), buildList(), notePackages(), licences(), headers()],
  worker: { format: 'es', plugins: () => [openCvApart(), notePackages()] },
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
    // vitest would leave one core idle
    maxWorkers: '100%',
    // a test that fails for a busy machine says nothing
    testTimeout: 60_000,
    hookTimeout: 60_000,
    // files of one kind share their process, so that OpenCV, the finder and the project's own modules are loaded once
    isolate: false,
    execArgv: [fewCollections],
    unstubGlobals: true,
    sequence: { sequencer: LongestFirst },
    projects: [
      {
        extends: true,
        test: { name: 'unit', include: everyTest, exclude: [...browserTests, ...slowTests, ...mocking] },
      },
      {
        extends: true,
        test: {
          name: 'slow',
          include: slowTests,
          // Node's own modules, read by way of tsx: vitest's read each import through a getter, in the innermost loops
          // too, which takes whole checks and fits up to a tenth longer
          execArgv: [fewCollections, '--import', 'tsx'],
          experimental: { viteModuleRunner: false, nodeLoader: false },
        },
      },
      { extends: true, test: { name: 'mocking', include: mocking, isolate: true } },
    ],
  },
});
