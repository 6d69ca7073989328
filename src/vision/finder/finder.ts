import { loadNetwork, type Network } from '../opencv.ts';

/** The two networks' ONNX files as bytes: `weights_node.ts` and `weights_browser.ts` fetch them. */
export interface FinderWeights {
  strip: Uint8Array;
  lane: Uint8Array;
}

/** The learned finder, ready to look; `release` it when the photos are done. */
export interface Finder {
  strip: Network;
  lane: Network;
  release(): void;
}

/** Loads both networks. Throws when the bytes are not networks that this OpenCV can run. */
export async function loadFinder(weights: FinderWeights): Promise<Finder> {
  const strip = await loadNetwork(weights.strip);
  const lane = await loadNetwork(weights.lane);
  return {
    strip,
    lane,
    release() {
      strip.release();
      lane.release();
    },
  };
}
