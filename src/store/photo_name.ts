/** A name's length in an export, folders included; what a shoot's file allows is more, for the folders before it. */
const longest = 120;
/** Names an export uses itself. */
const taken = /^(?:(?:plan|shoot|report|build|evidence|record)\.json$|(?:pictures|earlier)\/)/i;

/**
 * A photo's name that any export can hold and open again: no way out of its folder, on one line, without spaces at
 * either end, not too long, and none of the export's own. A plain name stays as it is.
 */
export function plainName(name: string): string {
  const parts = name
    // half a character, control characters and turned reading orders are in no file's name
    .replace(/[\p{Cs}\p{Cc}\u2028\u2029\u202a-\u202e\u2066-\u2069]/gu, '')
    .replaceAll('\\', '/')
    .split('/')
    .map((part) => part.trim())
    .filter((part) => part !== '' && part !== '.' && part !== '..')
    // a program's own word for what every object has, and what a Mac adds to zips
    .map((part) => (/^(?:__proto__|__MACOSX|\.DS_Store)$/i.test(part) ? `photo ${part}` : part));
  const plain = shortened(parts.join('/') || 'photo');
  return taken.test(plain) ? `photo ${plain}` : plain;
}

/** The name, numbered where it is one of these already. */
export function freeName(name: string, used: ReadonlySet<string>): string {
  if (!used.has(name)) return name;
  const dot = name.lastIndexOf('.');
  const [stem, ending] = dot > 0 ? [name.slice(0, dot), name.slice(dot)] : [name, ''];
  let i = 2;
  while (used.has(`${stem} (${i})${ending}`)) i++;
  return `${stem} (${i})${ending}`;
}

function shortened(name: string): string {
  if (name.length <= longest) return name;
  const ending = /\.\w{1,8}$/.exec(name)?.[0] ?? '';
  // a letter of two units is not cut in two
  const start = name.slice(0, longest - ending.length).replace(/[\ud800-\udbff]$/, '');
  return `${start.replace(/[\s/]+$/, '')}${ending}`;
}
