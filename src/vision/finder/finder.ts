import { loadNetwork, type Network } from '../network/network.ts';

/** The two networks' ONNX files as bytes: `weights_node.ts` and `weights_browser.ts` fetch them. */
export interface FinderWeights {
  strip: Uint8Array;
  lane: Uint8Array;
}

/** The learned finder, ready to look. */
export interface Finder {
  strip: Network;
  lane: Network;
}

/** Loads both networks. Throws when the bytes are not networks that can be run here. */
export async function loadFinder(weights: FinderWeights): Promise<Finder> {
  return { strip: await loadNetwork(weights.strip), lane: await loadNetwork(weights.lane) };
}
