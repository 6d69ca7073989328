import { longestEcho, shownName } from '../../plan/shown_name.ts';
import { counted } from './counted.ts';

/** A list as one says it: "1, 2 and 5". */
export function spokenList(parts: readonly string[]): string {
  return parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
}

/** So many names of a list that is too long to say are said, the others counted. */
const mostNamed = 3;

/** Names that a person or a file chose, as one says them: in full where a sentence has room for them. */
export function shownList(names: readonly string[]): string {
  if (names.reduce((sum, { length }) => sum + length, 0) <= longestEcho) return spokenList(names);
  const named = names.slice(0, mostNamed);
  const shown = named.map((name) => shownName(name, Math.floor(longestEcho / named.length)));
  const others = names.length - named.length;
  return spokenList(others > 0 ? [...shown, counted(others, 'one more', '# more')] : shown);
}
