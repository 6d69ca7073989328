import { expect, test } from 'vitest';
import { onlyNeeded } from '../../src/vision/opencv_needed.ts';

/** What a WebAssembly that registers these names would hand over, and which of it arrived. */
function registering() {
  const memory = new WebAssembly.Memory({ initial: 1 });
  const arrived: string[] = [];
  const note =
    (what: string) =>
    (...values: number[]) =>
      void arrived.push(`${what} ${values[0]}`);
  const registers =
    'class class_constructor class_function class_class_function class_property smart_ptr function constant enum enum_value';
  const env = Object.fromEntries(registers.split(' ').map((name) => [`_embind_register_${name}`, note(name)]));
  let next = 16;
  const put = (name: string): number => {
    const at = next;
    const bytes = new TextEncoder().encode(`${name}\0`);
    new Uint8Array(memory.buffer).set(bytes, at);
    next += bytes.length;
    return at;
  };
  return { imports: { env: { ...env, memory, abort: note('abort') }, wasi: {} }, put, arrived };
}

test('of what OpenCV registers, only the classes, functions and constants that are called arrive, and theirs', () => {
  const { imports, put, arrived } = registering();
  const taken = onlyNeeded(imports, { classes: ['Mat'], functions: ['resize'], constants: ['CV_8U'] });
  const env = taken.env as Record<string, (...values: number[]) => void>;
  const registerClass = (type: number, name: string) =>
    env._embind_register_class!(type, ...Array<number>(9).fill(0), put(name));
  registerClass(1, 'Mat');
  registerClass(2, 'MatVector');
  for (const type of [1, 2])
    for (const part of ['constructor', 'function', 'class_function', 'property'])
      env[`_embind_register_class_${part}`]!(type);
  env._embind_register_smart_ptr!(70, 1);
  env._embind_register_smart_ptr!(71, 2);
  const [resize, blur, depth, other] = ['resize', 'blur', 'CV_8U', 'CV_8S'].map(put) as [number, ...number[]];
  for (const name of [resize, blur!]) env._embind_register_function!(name);
  for (const name of [depth!, other!]) env._embind_register_constant!(name);
  env._embind_register_enum!(5);
  env._embind_register_enum_value!(5);
  env.abort!(9);
  expect(arrived).toEqual([
    'class 1',
    'class_constructor 1',
    'class_function 1',
    'class_class_function 1',
    'class_property 1',
    'smart_ptr 70',
    `function ${resize}`,
    `constant ${depth}`,
    'abort 9',
  ]);
  expect(taken.wasi).toBe(imports.wasi);
});
