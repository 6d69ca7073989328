import { codeOf, constantsOf, likenessOf } from './kernels.ts';
import { type Layer, layersOf } from './layers.ts';
import { addressOf, clearBorder, fillFromPlanes, type PlacedMap, pitchOf, placeMaps, planesOf } from './maps.ts';
import { type OnnxGraph, readOnnx } from './onnx_file.ts';
import { wasmModule } from './wasm_code.ts';

/** A network held ready. */
export interface Network {
  /**
   * Runs the network on a picture of three channels (planar, each `height` x `width`, row by row). Returns its output,
   * planar too. Both sides must be multiples of all that the network halves them by.
   */
  run(planes: Float32Array, width: number, height: number): Float32Array;
}

const pageBytes = 65536;
const floatBytes = 4;

/** Makes a network of an ONNX file's bytes. Throws an Error where they are none, or hold what is not known here. */
export const loadNetwork = async (onnx: Uint8Array): Promise<Network> => networkOf(readOnnx(onnx));

/**
 * Makes a network of its graph: each layer becomes WebAssembly of its own that works on four floats at
 * a time, which OpenCV's build does not. Throws an Error where the graph holds what no layer here does.
 */
export async function networkOf(graph: OnnxGraph): Promise<Network> {
  const layers = layersOf(graph);
  const memory = new WebAssembly.Memory({ initial: 1 });
  const constants = placeConstants(memory, layers);
  const rowMakers = await rowMakersOf(layers, memory);
  return {
    run(planes, width, height) {
      const picture = { name: graph.input, rows: height, width, channels: 3 };
      const { maps, end } = placeMaps(layers, picture, constants.end);
      growTo(memory, end);
      const floats = new Float32Array(memory.buffer);
      clearBorder(floats, maps.get(graph.input)!);
      fillFromPlanes(floats, maps.get(graph.input)!, planes);
      layers.forEach((layer, i) => {
        clearBorder(floats, maps.get(layer.to)!);
        makeMap(layer, rowMakers[i]!, constants.of[i]!, maps);
      });
      return planesOf(floats, maps.get(graph.output)!);
    },
  };
}

/** A layer's code; what it is called with stands in `kernels.ts`. */
type RowMaker = (...wholes: number[]) => void;

async function rowMakersOf(layers: readonly Layer[], memory: WebAssembly.Memory): Promise<RowMaker[]> {
  const likeness = layers.map(likenessOf);
  const different = [...new Set(likeness)];
  const code = wasmModule(different.map((like) => codeOf(layers[likeness.indexOf(like)]!)));
  const { instance } = await WebAssembly.instantiate(code, { on: { memory } });
  return likeness.map((like) => instance.exports[String(different.indexOf(like))] as RowMaker);
}

/** Where a layer's weights and bias lie in memory, bytes. */
interface PlacedConstants {
  weights: number;
  bias: number;
}

function makeMap(layer: Layer, makeRow: RowMaker, constants: PlacedConstants, maps: Map<string, PlacedMap>): void {
  const from = maps.get(layer.from)!;
  const to = maps.get(layer.to)!;
  const added = layer.added === undefined ? undefined : maps.get(layer.added)!;
  const doubles = layer.kind === 'doubling';
  const border = !doubles && layer.side === 3 ? 1 : 0;
  for (let row = 0; row < to.rows; row++) {
    const under = doubles ? row >> 1 : row * layer.stride - border;
    makeRow(
      addressOf(from, under, -border),
      addressOf(to, row, 0),
      added ? addressOf(added, row, 0) : 0,
      constants.weights,
      constants.bias,
      doubles ? from.width : to.width,
      pitchOf(from) * floatBytes,
    );
  }
}

/** Lays all weights into the memory; `end` = the first float beyond them. */
function placeConstants(memory: WebAssembly.Memory, layers: readonly Layer[]): { of: PlacedConstants[]; end: number } {
  let end = 0;
  const lay = (values: Float32Array): number => {
    const at = end;
    end += values.length;
    growTo(memory, end);
    new Float32Array(memory.buffer).set(values, at);
    return at * floatBytes;
  };
  const of = layers.map((layer) => {
    const { weights, bias } = constantsOf(layer);
    return { weights: lay(weights), bias: lay(bias) };
  });
  return { of, end };
}

function growTo(memory: WebAssembly.Memory, floats: number): void {
  const missing = Math.ceil((floats * floatBytes - memory.buffer.byteLength) / pageBytes);
  if (missing > 0) memory.grow(missing);
}
