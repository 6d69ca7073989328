/**
 * WebAssembly written by hand, as far as loops over vectors of four 32-bit floats need it (WebAssembly Core
 * Specification 2.0, binary format): bytes, in lists of lists as the parts are put together.
 */
export type Code = number | readonly Code[];

/** A whole number, seven bits a byte, the lowest first (LEB128). */
function unsigned(value: number): Code {
  const bytes: number[] = [];
  let rest = value;
  for (; rest >= 128; rest = Math.floor(rest / 128)) bytes.push((rest & 127) | 128);
  return [...bytes, rest];
}

function signed(value: number): Code {
  const bytes: number[] = [];
  let rest = value;
  for (; rest < -64 || rest > 63; rest >>= 7) bytes.push((rest & 127) | 128);
  return [...bytes, rest & 127];
}

/** An instruction on vectors. */
const vector = (which: number): Code => [0xfd, unsigned(which)];
/** How far from the address on the stack, bytes. */
const memory = (distance: number): Code => [0, unsigned(distance)];

export const get = (local: number): Code => [0x20, unsigned(local)];
export const set = (local: number): Code => [0x21, unsigned(local)];
export const whole = (value: number): Code => [0x41, signed(value)];
export const addWhole: Code = 0x6a;
export const multiplyWhole: Code = 0x6c;
/** Adds a fixed whole number to a local. */
export const advance = (local: number, by: number): Code => [get(local), whole(by), addWhole, set(local)];
export const load = (distance: number): Code => [vector(0x00), memory(distance)];
/** One float, four times. */
export const loadAlike = (distance: number): Code => [vector(0x09), memory(distance)];
export const store = (distance: number): Code => [vector(0x0b), memory(distance)];
export const zeros: Code = [vector(0x0c), Array.from({ length: 16 }, () => 0)];
export const add: Code = vector(0xe4);
export const multiply: Code = vector(0xe6);
/** The larger of two vectors, number by number. */
export const larger: Code = vector(0xeb);

const [block, loop, end, noResult] = [0x02, 0x03, 0x0b, 0x40];
const [isBelow, isBelowSigned] = [0x49, 0x48];
const goTo = (levelsUp: number): Code => [0x0c, levelsUp];
const goToIf = (levelsUp: number): Code => [0x0d, levelsUp];

/** Runs the body until the first local, unsigned, is no longer below the second; at least once. */
export const repeatWhileBelow = (local: number, limit: number, body: Code): Code => [
  [loop, noResult],
  body,
  [get(local), get(limit), isBelow, goToIf(0)],
  end,
];
/** Runs the body as long as the local, signed, is at least this whole number; perhaps never. */
export const repeatWhileAtLeast = (local: number, least: number, body: Code): Code => [
  [block, noResult, loop, noResult],
  [get(local), whole(least), isBelowSigned, goToIf(1)],
  body,
  goTo(0),
  [end, end],
];

/** A function that takes whole numbers and gives nothing back; its locals: these, more whole numbers, vectors. */
export interface WasmFunction {
  parameters: number;
  wholes: number;
  vectors: number;
  body: Code;
}

const [wholeType, vectorType, functionType] = [0x7f, 0x7b, 0x60];

/** The bytes of a module that imports the memory `on.memory` and exports its functions as `0`, `1` and so on. */
export function wasmModule(functions: readonly WasmFunction[]): Uint8Array<ArrayBuffer> {
  const types = functions.map(({ parameters }) => [
    functionType,
    listOf(Array.from({ length: parameters }, () => wholeType)),
    0,
  ]);
  const bodies = functions.map(({ wholes, vectors, body }) =>
    sized([
      listOf([
        [unsigned(wholes), wholeType],
        [unsigned(vectors), vectorType],
      ]),
      body,
      end,
    ]),
  );
  const [importsMemory, exportsFunction, anySize] = [2, 0, [0, 0]];
  return bytesOf([
    [
      [0x00, 0x61, 0x73, 0x6d],
      [1, 0, 0, 0],
    ],
    [1, sized(listOf(types))],
    [2, sized(listOf([[name('on'), name('memory'), importsMemory, anySize]]))],
    [3, sized(listOf(functions.map((_, i) => unsigned(i))))],
    [7, sized(listOf(functions.map((_, i) => [name(String(i)), exportsFunction, unsigned(i)])))],
    [10, sized(listOf(bodies))],
  ]);
}

const listOf = (items: readonly Code[]): Code => [unsigned(items.length), items];
const name = (text: string): Code => listOf([...new TextEncoder().encode(text)]);
/** A part that tells its length first. */
const sized = (content: Code): Code => [unsigned(lengthOf(content)), content];

const lengthOf = (code: Code): number =>
  typeof code === 'number' ? 1 : code.reduce<number>((sum, part) => sum + lengthOf(part), 0);

function bytesOf(code: Code): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(lengthOf(code));
  let at = 0;
  const write = (part: Code): void => {
    if (typeof part === 'number') bytes[at++] = part;
    else for (const inner of part) write(inner);
  };
  write(code);
  return bytes;
}
