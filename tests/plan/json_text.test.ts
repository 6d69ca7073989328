import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/plan/input_error.ts';
import { parseJson } from '../../src/plan/files/json_text.ts';

const outcome = (parse: () => unknown) => {
  try {
    return { value: parse() };
  } catch (error) {
    return error instanceof Error && error.message.includes('given twice') ? 'twice' : 'refused';
  }
};

describe('JSON text', () => {
  it('reads what JSON.parse reads', () => {
    fc.assert(
      fc.property(fc.json(), (text) => {
        expect(parseJson(text, 'a.json')).toEqual(JSON.parse(text));
      }),
    );
  });

  it('refuses what JSON.parse refuses, on damaged text', () => {
    fc.assert(
      fc.property(
        fc.json(),
        fc.nat(200),
        fc.constantFrom('', ',', '}', '"', '\u0001', 'x', ' ', '0', '\\'),
        (text, place, put) => {
          const at = place % (text.length + 1);
          const damaged = text.slice(0, at) + put + text.slice(at + 1);
          const ours = outcome(() => parseJson(damaged, 'a.json'));
          // a name given twice is the one thing refused that JSON.parse lets through
          if (ours !== 'twice') expect(ours).toEqual(outcome(() => JSON.parse(damaged)));
        },
      ),
      { numRuns: 500 },
    );
  });

  it('names line and column of a fault', () => {
    expect(() => parseJson('{\n "a": 1\n "b": 2\n}', 'plan.json')).toThrow(
      'plan.json, line 3, column 2: a comma or } belongs here',
    );
    expect(() => parseJson('{"a": tru}', 'plan.json')).toThrow('line 1, column 7');
  });

  it('says that a truncated file breaks off, and where', () => {
    const text = '{\n "a": [1, 2, {"b": "cde"}]\n}';
    for (let length = 1; length < text.length; length++) {
      expect(() => parseJson(text.slice(0, length), 'plan.json')).toThrow(InputError);
    }
    expect(() => parseJson(text.slice(0, 14), 'plan.json')).toThrow('line 2, column 13: the file breaks off here');
    expect(() => parseJson('{"a": "bc', 'plan.json')).toThrow('breaks off');
  });

  it('refuses a name given twice, an empty file and endless nesting', () => {
    expect(() => parseJson('{"at": 314, "at": 413}', 'plan.json')).toThrow('"at" is given twice');
    expect(() => parseJson(' \n', 'plan.json')).toThrow('plan.json is empty');
    expect(() => parseJson('['.repeat(100_000), 'plan.json')).toThrow('nested too deep');
  });

  it('passes over a byte order mark', () => expect(parseJson('\ufeff{"a":1}', 'a.json')).toEqual({ a: 1 }));
});
