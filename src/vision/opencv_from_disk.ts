/** Where OpenCV's file keeps its WebAssembly, as text (RFC 4648), and where it takes it from if it was handed over. */
const keptAs = 'wasmBinaryFile="data:application/octet-stream;base64,';
const takenFrom = 'var wasmBinary;';

/**
 * OpenCV's module object in Node, its file (plain ASCII) run as it stands; undefined in a browser. By `import` a loader
 * that translates TypeScript would keep several copies of its ten megabytes. Nearly all of them are WebAssembly written
 * as text, which is turned into bytes at once and handed over: read as a script it would take half a second.
 */
export function openCvFromDisk(): { module: unknown } | undefined {
  if (typeof process === 'undefined' || typeof process.getBuiltinModule !== 'function') return undefined;
  const require = process.getBuiltinModule('node:module').createRequire(import.meta.url);
  const path = require.resolve('@techstark/opencv-js');
  const { source, wasm } = withoutWasm(process.getBuiltinModule('node:fs').readFileSync(path));
  const names = ['module', 'exports', 'require', '__filename', '__dirname', 'wasmOfFile'];
  const run = process.getBuiltinModule('node:vm').compileFunction(source, names, { filename: path });
  const module = { exports: {} as unknown };
  const folder = process.getBuiltinModule('node:path').dirname(path);
  run.call(module.exports, module, module.exports, require, path, folder, wasm);
  return { module: module.exports };
}

/** The script with its WebAssembly apart; as it stands where that is kept in some other way. */
function withoutWasm(file: Buffer): { source: string; wasm?: Uint8Array } {
  const from = file.indexOf(keptAs) + keptAs.length;
  const to = file.indexOf('"', from);
  const before = file.toString('latin1', 0, from);
  if (from < keptAs.length || to < 0 || !before.includes(takenFrom)) return { source: file.toString('latin1') };
  return {
    source: before.replace(takenFrom, 'var wasmBinary=wasmOfFile;') + file.toString('latin1', to),
    wasm: Buffer.from(file.toString('latin1', from, to), 'base64'),
  };
}
