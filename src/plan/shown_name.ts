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

/** A name is shown with so many characters at least, however many a sentence holds. */
const leastShown = 8;

/** A sentence with those names in it, in full where they are no longer together than one sentence echoes. */
export function withShownNames(sentence: string, names: readonly string[]): string {
  const long = names.filter((name) => name.length > leastShown).toSorted((a, b) => b.length - a.length);
  let rest = sentence;
  let count = 0;
  let echoed = 0;
  for (const name of long) {
    const times = rest.split(name).length - 1;
    count += times;
    echoed += times * name.length;
    rest = rest.replaceAll(name, '');
  }
  if (echoed <= longestEcho) return sentence;
  const most = Math.max(Math.floor(longestEcho / count), leastShown);
  return long.reduce((shown, name) => shown.replaceAll(name, () => shownName(name, most)), sentence);
}
