/**
 * Input that cannot be used. The message is one sentence a person can act on: which file, the place in it, what is wrong
 * and what to do. Anything else that is thrown is a fault of the program.
 */
export class InputError extends Error {
  override name = 'InputError';
}
