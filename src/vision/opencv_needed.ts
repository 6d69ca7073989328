/** By which names OpenCV is called. */
export interface Needed {
  /** classes, with those they derive from */
  classes: readonly string[];
  functions: readonly string[];
  constants: readonly string[];
}

type Register = (...values: number[]) => void;

/**
 * The imports that OpenCV's script offers its WebAssembly (`env`, as Emscripten's embind has them), so that of what the
 * WebAssembly registers at its start only what is needed is taken. Of its more than two thousand names many are
 * functions that embind makes out of text, which takes a third of the start. Types that are not taken stay unknown:
 * what needs them is not called.
 */
export function onlyNeeded(imports: WebAssembly.Imports, needed: Needed): WebAssembly.Imports {
  const env = imports.env as Record<string, Register> & { memory: WebAssembly.Memory };
  const latin1 = (place: number): string => {
    const bytes = new Uint8Array(env.memory.buffer);
    return String.fromCharCode(...bytes.subarray(place, bytes.indexOf(0, place)));
  };
  const classes = new Set<number>();
  /** `name` stands at this place of what is registered */
  const named = (register: string, name: number, names: readonly string[]): Register => {
    const original = env[register]!;
    return (...values) => {
      if (names.includes(latin1(values[name]!))) original(...values);
    };
  };
  const ofClass = (register: string, type = 0): Register => {
    const original = env[register]!;
    return (...values) => {
      if (classes.has(values[type]!)) original(...values);
    };
  };
  const registerClass = env._embind_register_class!;
  return {
    ...imports,
    env: {
      ...env,
      _embind_register_class: (...values: number[]) => {
        if (!needed.classes.includes(latin1(values[10]!))) return;
        classes.add(values[0]!);
        registerClass(...values);
      },
      _embind_register_class_constructor: ofClass('_embind_register_class_constructor'),
      _embind_register_class_function: ofClass('_embind_register_class_function'),
      _embind_register_class_class_function: ofClass('_embind_register_class_class_function'),
      _embind_register_class_property: ofClass('_embind_register_class_property'),
      _embind_register_smart_ptr: ofClass('_embind_register_smart_ptr', 1),
      _embind_register_function: named('_embind_register_function', 0, needed.functions),
      _embind_register_constant: named('_embind_register_constant', 0, needed.constants),
      _embind_register_enum: () => {},
      _embind_register_enum_value: () => {},
    },
  };
}
