/** Where OpenCV's file keeps its WebAssembly, as text (RFC 4648), and where it first asks what it was handed over. */
const keptAs = 'wasmBinaryFile="data:application/octet-stream;base64,';
const asked = 'var wasmBinary;';

/** OpenCV's file in two. */
export interface OpenCvParts {
  /** body of a function of `module`, `exports` and `instantiateWasm` (as Emscripten calls it), with Node's `require` */
  script: string;
  wasm: Uint8Array<ArrayBuffer>;
}

/** OpenCV, not yet started. */
export interface OpenCvAtHand {
  /**
   * Runs the script: OpenCV's module object, which calls its `onRuntimeInitialized` once `receive` was given the
   * WebAssembly with the imports that the script asks for. What `instantiateWasm` gives back counts for nothing.
   */
  make: (
    instantiateWasm: (imports: WebAssembly.Imports, receive: (instance: WebAssembly.Instance) => void) => object,
  ) => unknown;
  compiled: WebAssembly.Module;
}

/**
 * Takes OpenCV's file (plain ASCII, made by Emscripten) apart. Nearly all of its ten megabytes are WebAssembly written
 * as text: as part of the script it is read as text, copied, decoded and compiled anew at each start. Throws where the
 * file keeps it in some other way, as another version may.
 */
export function openCvParts(file: Buffer): OpenCvParts {
  const from = file.indexOf(keptAs) + keptAs.length;
  const to = file.indexOf('"', from);
  const before = file.toString('latin1', 0, from);
  if (from < keptAs.length || to < 0 || !before.includes(asked))
    throw new Error(
      'OpenCV’s file does not keep its WebAssembly as it did: see what has changed in src/vision/opencv_parts.ts',
    );
  return {
    script: before.replace(asked, `Module["instantiateWasm"]=instantiateWasm;${asked}`) + file.toString('latin1', to),
    wasm: new Uint8Array(Buffer.from(file.toString('latin1', from, to), 'base64')),
  };
}

/**
 * Runs OpenCV's script on its WebAssembly, whose imports `change` may change; done when it can be used. Its module
 * object has a `then` of its own, and awaiting it bare would never end: it travels in a box.
 */
export function startOpenCv<T extends object>(
  { make, compiled }: OpenCvAtHand,
  change = (imports: WebAssembly.Imports) => imports,
): Promise<{ cv: T }> {
  return new Promise((resolve, reject) => {
    const cv = make((imports, receive) => {
      WebAssembly.instantiate(compiled, change(imports)).then(receive).catch(reject);
      return {};
    }) as T & { onRuntimeInitialized?: () => void };
    cv.onRuntimeInitialized = () => resolve({ cv });
  });
}
