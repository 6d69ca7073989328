import { longestEcho } from './shown_name.ts';

const longestMessage = 600;

/**
 * Input that cannot be used. The message is one sentence a person can act on: which file, the place in it, what is
 * wrong and what to do. Whatever it echoes of the input stays on one line and short. Anything else that is thrown is a
 * fault of the program.
 */
export class InputError extends Error {
  override name = 'InputError';

  constructor(message: string) {
    super(onOneLine(message));
  }
}

/**
 * Control characters, line breaks and turned reading orders could make one message look like several, or like another.
 */
function onOneLine(message: string): string {
  const plain = message
    .replace(/[\p{Cc}\u2028\u2029\u202a-\u202e\u2066-\u2069]+/gu, ' ')
    .replace(/\S{81,}/gu, (word) => `${word.slice(0, longestEcho - 1)}…`);
  return plain.length > longestMessage ? `${plain.slice(0, longestMessage - 1)}…` : plain;
}
