import type { OnnxGraph, OnnxOperation } from './onnx_file.ts';

/**
 * What a network does step by step. A map is a picture with a number of channels; every layer makes one map out of one
 * or two earlier ones, with what follows at each sample (another map added, negative values cut to 0) in the same go.
 */
export type Layer = Convolution | Doubling;

interface Step {
  from: string;
  to: string;
  /** a map of the result's size, added to it */
  added?: string;
  /** negative values become 0 */
  cut: boolean;
  /** of the result */
  channels: number;
}

/** A convolution, 1 x 1 or 3 x 3 (with a border of zeros), to every or every other sample each way. */
export interface Convolution extends Step {
  kind: 'dense' | 'depthwise';
  side: 1 | 3;
  stride: 1 | 2;
  channelsIn: number;
  /** dense: [out][in][row][column]; depthwise: [channel][row][column] */
  weights: Float32Array;
  bias: Float32Array;
}

/** Each sample becomes two by two. */
export interface Doubling extends Step {
  kind: 'doubling';
}

/** The layers of a graph. Throws an Error where it holds anything else than these. */
export function layersOf(graph: OnnxGraph): Layer[] {
  const users = new Map<string, OnnxOperation[]>();
  for (const operation of graph.operations)
    for (const input of operation.inputs) users.set(input, [...(users.get(input) ?? []), operation]);
  const made = new Set([graph.input]);
  const channels = new Map([[graph.input, 3]]);
  const layers: Layer[] = [];
  /** The one operation that takes a map, where it is of this kind. */
  const followedBy = (map: string, kind: string): OnnxOperation | undefined => {
    const [next, ...more] = users.get(map) ?? [];
    return more.length === 0 && map !== graph.output && next?.kind === kind ? next : undefined;
  };
  for (const operation of graph.operations) {
    if (operation.kind === 'Constant' || made.has(operation.output)) continue;
    const base = layerOf(operation, graph, channels.get(operation.inputs[0]!));
    const adding = followedBy(base.to, 'Add');
    const added = adding?.inputs.find((input) => input !== base.to && made.has(input));
    if (adding && added !== undefined) {
      base.added = added;
      base.to = adding.output;
      made.add(adding.output);
    }
    const cutting = followedBy(base.to, 'Relu');
    if (cutting) {
      base.cut = true;
      base.to = cutting.output;
    }
    made.add(base.to);
    channels.set(base.to, base.channels);
    layers.push(base);
  }
  return layers;
}

function layerOf(operation: OnnxOperation, graph: OnnxGraph, channelsIn: number | undefined): Layer {
  if (channelsIn === undefined) throw new Error(`The network uses ${operation.inputs[0]} before it is made.`);
  const step = { from: operation.inputs[0]!, to: operation.output, cut: false };
  if (operation.kind === 'Conv') return { ...step, ...convolutionOf(operation, graph, channelsIn) };
  const doubles = operation.kind === 'Resize' && operation.words.get('mode') === 'nearest';
  if (doubles) return { ...step, kind: 'doubling', channels: channelsIn };
  throw new Error(`The network holds an operation that is not known here: ${operation.kind}.`);
}

function convolutionOf(
  { inputs, numbers }: OnnxOperation,
  graph: OnnxGraph,
  channelsIn: number,
): Omit<Convolution, keyof Omit<Step, 'channels'>> {
  const weights = graph.weights.get(inputs[1]!);
  const bias = graph.weights.get(inputs[2]!);
  const [side, groups, stride] = ['kernel_shape', 'group', 'strides'].map((name) => numbers.get(name)?.[0]);
  const border = numbers.get('pads')?.every((pad) => pad === (side === 3 ? 1 : 0));
  const plain = numbers.get('dilations')?.every((apart) => apart === 1);
  const known = (side === 1 || side === 3) && (stride === 1 || stride === 2) && (groups === 1 || groups === channelsIn);
  if (!weights || !bias || !known || !border || !plain)
    throw new Error(`The network holds a convolution that is not known here: ${inputs[1]}.`);
  const kind = groups === 1 ? 'dense' : 'depthwise';
  return { kind, side, stride, channelsIn, channels: weights.shape[0]!, weights: weights.values, bias: bias.values };
}
