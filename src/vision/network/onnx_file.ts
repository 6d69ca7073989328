/** A network as its ONNX file (Open Neural Network Exchange) tells it: operations in the order in which they run. */
export interface OnnxGraph {
  input: string;
  output: string;
  operations: OnnxOperation[];
  weights: Map<string, OnnxWeights>;
}

export interface OnnxOperation {
  /** ONNX's name of it, as `Conv` */
  kind: string;
  inputs: string[];
  output: string;
  /** attributes that are whole numbers, one or several */
  numbers: Map<string, number[]>;
  /** attributes that are words */
  words: Map<string, string>;
}

export interface OnnxWeights {
  shape: number[];
  values: Float32Array;
}

/** A field of a protocol buffer: a whole number, or bytes. */
type Field = { number: number } | { bytes: Uint8Array };

/**
 * Reads the bytes of an ONNX file, as far as networks of convolutions need it: weights in floats of 32 bits, or of 16
 * and cast to 32 by an operation, or in whole numbers of 8 bits that one multiplies by a scale; attributes of whole
 * numbers and words. Field numbers are those of onnx.proto (IR version 8). Throws an Error where the bytes are no such
 * file.
 */
export function readOnnx(bytes: Uint8Array): OnnxGraph {
  const graph = only(fieldsOf(bytes), 7, 'graph');
  const fields = fieldsOf(graph);
  const weights = new Map(all(fields, 5).map(weightsOf));
  const operations = all(fields, 1).map(operationOf);
  const unpacking = operations.filter(
    ({ kind, inputs }) => (kind === 'Cast' || kind === 'DequantizeLinear') && weights.has(inputs[0]!),
  );
  for (const operation of unpacking) weights.set(operation.output, unpacked(operation, weights));
  const inputs = all(fields, 11).map((value) => text(only(fieldsOf(value), 1, 'input')));
  return {
    input: inputs.find((name) => !weights.has(name)) ?? '',
    output: text(only(fieldsOf(only(fields, 12, 'output')), 1, 'output')),
    operations: operations.filter((operation) => !unpacking.includes(operation)),
    weights,
  };
}

/**
 * Weights as an operation makes them of stored ones: cast as they are, or each output channel's (the first axis) less
 * its zero and times its scale.
 */
function unpacked({ kind, inputs, numbers }: OnnxOperation, weights: Map<string, OnnxWeights>): OnnxWeights {
  const [stored, scale, zero] = inputs.map((name) => weights.get(name));
  const { shape, values } = stored!;
  if (kind === 'Cast') return stored!;
  const channels = shape[0]!;
  if (numbers.get('axis')?.[0] !== 0 || scale?.values.length !== channels || zero?.values.length !== channels)
    throw new Error(`The network's weights ${inputs[0]} have no scale for each of their ${channels} channels.`);
  const ofChannel = values.length / channels;
  const scaled = new Float32Array(values.length);
  for (let channel = 0; channel < channels; channel++) {
    const [none, one] = [zero.values[channel]!, scale.values[channel]!];
    for (let i = channel * ofChannel; i < (channel + 1) * ofChannel; i++) scaled[i] = (values[i]! - none) * one;
  }
  return { shape, values: scaled };
}

function operationOf(bytes: Uint8Array): OnnxOperation {
  const fields = fieldsOf(bytes);
  const numbers = new Map<string, number[]>();
  const words = new Map<string, string>();
  for (const attribute of all(fields, 5)) {
    const parts = fieldsOf(attribute);
    const name = text(only(parts, 1, 'attribute'));
    const whole = [...wholeNumbers(parts, 3), ...wholeNumbers(parts, 8)];
    if (whole.length > 0) numbers.set(name, whole);
    for (const word of all(parts, 4)) words.set(name, text(word));
  }
  return {
    kind: text(only(fields, 4, 'operation')),
    inputs: all(fields, 1).map(text),
    output: text(only(fields, 2, 'operation')),
    numbers,
    words,
  };
}

/** ONNX's names of the number types that are read here. */
const numberType = { float32: 1, int8: 3, float16: 10 } as const;

function weightsOf(bytes: Uint8Array): [string, OnnxWeights] {
  const fields = fieldsOf(bytes);
  const name = text(only(fields, 8, 'weights'));
  const shape = wholeNumbers(fields, 1);
  // Copied, since numbers must begin at a multiple of their size.
  const raw = only(fields, 9, 'weights').slice();
  switch (wholeNumbers(fields, 2)[0]) {
    case numberType.float32:
      return [name, { shape, values: new Float32Array(raw.buffer) }];
    case numberType.float16:
      return [name, { shape, values: floatsOfHalves(new Uint16Array(raw.buffer)) }];
    case numberType.int8:
      return [name, { shape, values: new Float32Array(new Int8Array(raw.buffer)) }];
    default:
      throw new Error(`The network's weights ${name} are no floats of 32 or 16 bits and no whole numbers of 8.`);
  }
}

function floatsOfHalves(halves: Uint16Array): Float32Array {
  const floats = new Float32Array(halves.length);
  for (let i = 0; i < halves.length; i++) floats[i] = floatOfHalf(halves[i]!);
  return floats;
}

/** A float of 16 bits, given as a whole number (IEEE 754-2019, binary16). */
function floatOfHalf(bits: number): number {
  const sign = bits & 0x8000 ? -1 : 1;
  const exponent = (bits >> 10) & 31;
  const fraction = bits & 1023;
  if (exponent === 0) return sign * fraction * 2 ** -24;
  if (exponent === 31) return fraction === 0 ? sign * Number.POSITIVE_INFINITY : Number.NaN;
  return sign * (1024 + fraction) * 2 ** (exponent - 25);
}

/** The fields of a message of the protocol buffer encoding, in order, by their numbers. */
function fieldsOf(bytes: Uint8Array): Map<number, Field[]> {
  const fields = new Map<number, Field[]>();
  const reader = { bytes, at: 0 };
  while (reader.at < bytes.length) {
    const key = varint(reader);
    const list = fields.get(key >>> 3) ?? [];
    fields.set(key >>> 3, list);
    const wire = key & 7;
    if (wire === 0) list.push({ number: varint(reader) });
    else list.push({ bytes: take(reader, wire === 2 ? varint(reader) : wire === 5 ? 4 : 8) });
  }
  return fields;
}

interface Reader {
  bytes: Uint8Array;
  at: number;
}

function take(reader: Reader, length: number): Uint8Array {
  if (reader.at + length > reader.bytes.length) throw new Error('The network’s file is cut off.');
  reader.at += length;
  return reader.bytes.subarray(reader.at - length, reader.at);
}

/** A whole number, seven bits a byte, the lowest first. */
function varint(reader: Reader): number {
  let value = 0;
  for (let scale = 1; ; scale *= 128) {
    const byte = take(reader, 1)[0]!;
    value += (byte & 127) * scale;
    if (byte < 128) return value;
  }
}

const all = (fields: Map<number, Field[]>, which: number): Uint8Array[] =>
  (fields.get(which) ?? []).flatMap((field) => ('bytes' in field ? [field.bytes] : []));

function only(fields: Map<number, Field[]>, which: number, what: string): Uint8Array {
  const [bytes] = all(fields, which);
  if (!bytes) throw new Error(`The network’s file holds no ${what}.`);
  return bytes;
}

/** Whole numbers of a field, each by itself or packed together. */
function wholeNumbers(fields: Map<number, Field[]>, which: number): number[] {
  return (fields.get(which) ?? []).flatMap((field) => {
    if ('number' in field) return [field.number];
    const reader = { bytes: field.bytes, at: 0 };
    const numbers: number[] = [];
    while (reader.at < field.bytes.length) numbers.push(varint(reader));
    return numbers;
  });
}

const text = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
