import { type OpenCvAtHand, openCvParts } from './opencv_parts.ts';

/**
 * OpenCV in Node, out of its own file; undefined in a browser. By `import` a loader that translates TypeScript would
 * keep several copies of its ten megabytes.
 */
export function openCvFromDisk(): Promise<OpenCvAtHand> | undefined {
  if (typeof process === 'undefined' || typeof process.getBuiltinModule !== 'function') return undefined;
  return readOpenCv();
}

async function readOpenCv(): Promise<OpenCvAtHand> {
  const require = process.getBuiltinModule('node:module').createRequire(import.meta.url);
  const path = require.resolve('@techstark/opencv-js');
  const folder = process.getBuiltinModule('node:path').dirname(path);
  const { script, wasm } = openCvParts(process.getBuiltinModule('node:fs').readFileSync(path));
  const names = ['module', 'exports', 'require', '__filename', '__dirname', 'process', 'instantiateWasm'];
  const run = process.getBuiltinModule('node:vm').compileFunction(script, names, { filename: path });
  // Emscripten would listen to the whole process, and turn any later error into a crash with a changed meaning
  const unheard = Object.create(process, { on: { value: () => unheard } }) as typeof process;
  return {
    make: (instantiateWasm) => {
      const module = { exports: {} as unknown };
      run.call(module.exports, module, module.exports, require, path, folder, unheard, instantiateWasm);
      return module.exports;
    },
    compiled: await WebAssembly.compile(wasm),
  };
}
