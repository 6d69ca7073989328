import { make, wasmBytes, wasmFile } from 'virtual:opencv';
import type { OpenCvAtHand } from './opencv_parts.ts';

/**
 * OpenCV in a browser, its WebAssembly compiled while it arrives; `onArrived` hears the share of it that has. Imported
 * only through `import()`, so it comes when it is first needed. Throws TypeError when it can't be fetched.
 */
export async function openCvOfBuild(onArrived: (share: number) => void): Promise<OpenCvAtHand> {
  const response = await fetch(wasmFile);
  if (!response.ok) throw new TypeError(`${wasmFile} could not be fetched (${response.status})`);
  const counted = response.clone();
  const [compiled] = await Promise.all([compile(response), count(counted, onArrived)]);
  return { make, compiled };
}

/** Browsers compile what arrives, and keep the code they made, only where the host names its kind. */
async function compile(response: Response): Promise<WebAssembly.Module> {
  const named = response.headers.get('content-type') === 'application/wasm';
  return named ? WebAssembly.compileStreaming(response) : WebAssembly.compile(await response.arrayBuffer());
}

/** how often the share is told: each time the page answers with a drawing */
const steps = 20;

async function count(response: Response, onArrived: (share: number) => void): Promise<void> {
  const reader = response.body?.getReader();
  let read = 0;
  for (;;) {
    const next = await reader?.read();
    if (!next || next.done) return;
    const told = Math.floor(steps * Math.min(read / wasmBytes, 1));
    read += next.value.length;
    const share = Math.floor(steps * Math.min(read / wasmBytes, 1));
    if (share > told) onArrived(share / steps);
  }
}
