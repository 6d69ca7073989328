import { loadNetwork, type Network } from '../network/network.ts';

/** The networks' ONNX files as bytes: `weights_node.ts` and `weights_browser.ts` fetch them. */
export interface FinderWeights {
  strip: Uint8Array;
  lane: Uint8Array;
  tip: Uint8Array;
}

/** The learned finder, ready to look. */
export interface Finder {
  strip: Network;
  lane: Network;
  tip: Network;
}

/** Loads the networks. Throws when the bytes are not networks that can be run here. */
export async function loadFinder(weights: FinderWeights): Promise<Finder> {
  const { strip, lane, tip } = weights;
  return { strip: await loadNetwork(strip), lane: await loadNetwork(lane), tip: await loadNetwork(tip) };
}
