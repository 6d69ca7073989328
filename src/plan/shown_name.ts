/** The most that one sentence echoes of what was handed over, characters, all echoes together. */
export const longestEcho = 80;

/**
 * A name or path as a sentence says it: in full, or its beginning and its end where it is longer than `most`
 * characters. A sentence with two or three of them gives each its share of `longestEcho`.
 */
export function shownName(name: string, most: number = longestEcho): string {
  if (name.length <= most) return name;
  const beginning = Math.floor((most - 1) / 3);
  return `${name.slice(0, beginning)}…${name.slice(beginning + 1 - most)}`;
}

/** Each of two names in one sentence. */
export const oneOfTwo: number = longestEcho / 2;
