import { InputError } from './input_error.ts';
import { shownName } from './shown_name.ts';

/**
 * Why something failed, short enough to stand in a sentence, whatever was thrown: an input's fault in its own words,
 * anything else on one line, and what a schema has against a value not at all, since those words are no person's.
 */
export function reason(error: unknown): string {
  if (error instanceof Error && error.name === 'InputError') return error.message;
  if (typeof error === 'object' && error !== null && 'issues' in error) return 'something in it is not as it should be';
  const said = error instanceof Error ? error.message : String(error);
  return shownName(new InputError(said).message.trim());
}
