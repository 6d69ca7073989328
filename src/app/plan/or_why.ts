import { InputError } from '../../plan/input_error.ts';

/** What is worked out, or the one sentence on why it can't be. */
export function orWhy<T extends object>(work: () => T): T | { why: string } {
  try {
    return work();
  } catch (error) {
    if (error instanceof InputError) return { why: error.message };
    throw error;
  }
}
