import type { FinderWeights } from './finder.ts';
import laneFile from './lane.onnx?url';
import stripFile from './strip.onnx?url';
import tipFile from './tip.onnx?url';

/**
 * The networks' files as the build serves them. Throws TypeError when they were never fetched and there is no network.
 */
export async function finderWeights(): Promise<FinderWeights> {
  const read = async (file: string) => {
    const response = await fetch(file);
    if (!response.ok) throw new TypeError(`${file} could not be fetched (${response.status})`);
    return new Uint8Array(await response.arrayBuffer());
  };
  return { strip: await read(stripFile), lane: await read(laneFile), tip: await read(tipFile) };
}
