import { readFile } from 'node:fs/promises';
import type { FinderWeights } from './finder.ts';

/** The networks' files as they lie beside this one. */
export async function finderWeights(): Promise<FinderWeights> {
  const read = async (name: string) => new Uint8Array(await readFile(new URL(name, import.meta.url)));
  return { strip: await read('./strip.onnx'), lane: await read('./lane.onnx'), tip: await read('./tip.onnx') };
}
