import { readLength, shortened } from '../lengths/length_text.ts';
import { plainSigns } from '../lengths/plain_signs.ts';
import { countedFrom, type CountedFrom, type ListUnit } from './headings.ts';

/** One place as it stands on a line, mm, counted from wherever the list counts. */
export interface WrittenPlace {
  mm: number;
  unit: ListUnit;
  label?: string;
  note?: string;
  from?: CountedFrom;
}
export type ReadPlace = WrittenPlace | { why: string };

/** What the lines around one line say about it. */
export interface Surroundings {
  unit: ListUnit;
  /** the running number this line would carry */
  nextNumber: number;
  /** how many of the list's lines begin with their running number, parted from the distance by a space or dash */
  numbered: number;
  /** three figures after a dot can only be decimals here */
  dotIsDecimal: boolean;
}

const figures = String.raw`\d{1,3}(?:'\d{3})+(?:[.,]\d+)?|\d{1,3}(?:,\d{3})+\.\d+|\d{1,3}(?:\.\d{3})+,\d+|\d+[.,]\d+|\d+|[.,]\d+`;
const fraction = String.raw`\d{1,3}\s*/\s*\d{1,3}`;
const mixed = String.raw`(?:\d{1,5}\s*[ +-]\s*)?${fraction}`;
const inchWord = String.raw`"|in\.?(?!\p{L})|inch(?:es)?(?!\p{L})`;
const unitWord = String.raw`millimet(?:re|er)s?|centimet(?:re|er)s?|inch(?:es)?|mm\.?|cm\.?|in\.?|"`;
const feet = String.raw`\d{1,3}(?:[.,]\d+)?\s*(?:'(?!\d{3}(?!\d))|ft\.?(?!\p{L})|feet(?!\p{L})|foot(?!\p{L}))(?:\s*-?\s*(?:${mixed}|${figures})\s*(?:${inchWord})?)?`;
/** A length with its unit, not inside a longer run of figures. */
const lengths = new RegExp(
  String.raw`(?<![\d.,/'])(?:(${feet})|(${mixed}|${figures})(\s*(?:${unitWord})(?![\p{L}\d]))?)(?!\d|[.,]\d|\s*/\s*\d)`,
  'giu',
);
const unknownUnit = /^\s*(yds?|yards?|m|met(?:re|er)s?|km)(?!\p{L})/iu;
/** Words after which a whole number counts and is no distance. */
const countingWord =
  /(?:#|№|n°|(?<!\p{L})(?:no|nr|num|number|guide|ring|pos|position|g|führung|anneau|anillo|öglor?)\.?)\s*$/iu;
/** Words that make the number after them a ring's size, or before them. */
const sizeBefore = /(?<!\p{L})(?:size|ring|rings?|gr(?:öße|\.)|taille|tama[nñ]o|[øØ⌀])\s*[:=]?\s*$/iu;
const sizeAfter = /^\s*(?:-\s*)?(?:rings?|guides?|size)(?!\p{L})/iu;
/** Signs that make a length unsure or a sum of it. */
const doubtful: readonly (readonly [RegExp, string])[] = [
  [/^\s*\+\s*\d/, 'begins with a plus: if it is a gap, head the list "gap", otherwise take the plus out'],
  [/^\s*=/, 'is a formula: copy its result'],
  [/±|\+\s*\/\s*-|\+-/, 'has a tolerance on it: write the distance alone'],
  [
    /[~≈<>≤≥]|(?<!\p{L})(?:ca|circa|about|approx|roughly|etwa|environ)(?!\p{L})|\d\s*\?/iu,
    'is marked as about so much: measure it and write the distance',
  ],
  [/[%$€£¥]/, 'is no distance: write it as 5 3/8 or 136.5'],
];

interface Quantity {
  start: number;
  end: number;
  text: string;
  digits: string;
  mm: number;
  unit: ListUnit;
  unitWritten: boolean;
}

/**
 * Reads one line without columns: a label, one distance, and words. Every figure on the line must be accounted for: the
 * distance, part of the label (`G3`, `Guide 8`, `4)`), a ring's size that is called so, or the same length in another
 * unit. Anything left over, or a second reading, is a problem that says what could be meant.
 */
export function readFreeLine(raw: string, around: Surroundings): ReadPlace {
  const text = plainSigns(raw);
  if (text.includes('\ufffd')) return { why: 'a sign was lost in copying (\ufffd): type the number again' };
  const doubt = doubtful.find(([pattern]) => pattern.test(text));
  if (doubt) return { why: `"${shortened(text)}" ${doubt[1]}` };
  if (/^-\s*[\d.,]/.test(text) && !text.startsWith('- ')) {
    return { why: 'the distance is below zero: distances run from the tip' };
  }
  const whole = readLength(text, around.unit);
  if (whole.ok && !text.startsWith('-') && !text.startsWith('+'))
    return thousandDoubt(text, whole.unit, around) ?? { mm: whole.mm, unit: whole.unit };
  if (!whole.ok && /^[\d.,\s/-]+$/.test(text) && /could be/.test(whole.why)) return { why: whole.why };
  return sortFigures(text, around);
}

/** Figures sorted into label, distance and sizes; `explained` marks the stretches of text that are accounted for. */
function sortFigures(text: string, around: Surroundings): ReadPlace {
  const open: Quantity[] = [];
  const explained: [number, number][] = [];
  for (const match of text.matchAll(lengths)) {
    const [matched, inFeet, digits = inFeet!, suffix] = match as unknown as [string, string?, string?, string?];
    const [start, end] = [match.index, match.index + matched.length];
    const [before, after] = [text.slice(0, start), text.slice(end)];
    const unitWritten = suffix !== undefined || inFeet !== undefined;
    const counted = partOfLabel({ matched, digits, before, after, unitWritten }, around.unit);
    if (typeof counted === 'object') return counted;
    if (counted || (sizeBefore.test(before) && !digits.includes('/') && open.length > 0)) {
      explained.push([start, end]);
      continue;
    }
    if (!unitWritten && unknownUnit.test(after))
      return { why: 'is in a unit that is not read here: write inches, feet, mm or cm' };
    if (!unitWritten && /^\p{L}/u.test(after)) {
      return {
        why: `"${shortened(`${matched}${/^\p{L}+/u.exec(after)![0]}`)}" is not a length: write it as 5 3/8 or 136.5`,
      };
    }
    if (open.length > 0 && sizeAfter.test(after)) {
      explained.push([start, end]);
      continue;
    }
    const reading = readLength(matched, around.unit);
    if (!reading.ok) return { why: reading.why };
    open.push({
      start,
      end,
      text: matched.trim(),
      digits: digits.trim(),
      mm: reading.mm,
      unit: reading.unit,
      unitWritten,
    });
  }
  const chosen = chooseDistance(text, open, around);
  if ('why' in chosen) return chosen;
  return placeFrom(text, chosen.distance, [...explained, ...chosen.explained], around);
}

/** A number as it stands on a line: with its unit, its digits alone, and what stands before and after it. */
interface WrittenNumber {
  matched: string;
  digits: string;
  before: string;
  after: string;
  unitWritten: boolean;
}

/** True where a number belongs to a label or a count; a problem where it could as well begin the distance. */
function partOfLabel(
  { matched, digits, before, after, unitWritten }: WrittenNumber,
  unit: ListUnit,
): boolean | { why: string } {
  const afterLetter = /\p{L}$/u.test(before);
  const afterWord = !afterLetter && countingWord.test(before);
  if (!afterLetter && !afterWord) return /^\d+$/.test(digits) && /^(?:st|nd|rd|th)(?!\p{L})/iu.test(after);
  if (digits.includes('/')) {
    const [head, ...rest] = digits.trim().split(/[ +-]+/);
    const reading = readLength(rest.join(' '), unit);
    const label = before.trim();
    if (rest.length === 0 || !reading.ok)
      return {
        why: `"${shortened(`${before}${matched}`)}" could be a name or a distance: put a colon after the label`,
      };
    return {
      why: `could be "${label}${afterLetter ? '' : ' '}${head}" at ${rest.join(' ')} or "${label}" at ${digits.trim()}: put a colon after the label`,
    };
  }
  if (/^\d+$/.test(digits) && !unitWritten) return true;
  if (afterLetter)
    return {
      why: `"${shortened(`${before}${matched}`)}" could be a name or a distance: put a space or colon between them`,
    };
  // "guide 8.5" or "ring 16 mm": no count
  return false;
}

type Choice = { distance: Quantity; explained: [number, number][] } | { why: string };

function chooseDistance(text: string, open: readonly Quantity[], around: Surroundings): Choice {
  const [first, second, third] = open;
  if (!first) return { why: 'no distance is on this line: write it as 5 3/8 or 136.5' };
  if (!second) return { distance: first, explained: [] };
  const numbered = leadingNumber(text, first, second, around);
  if (typeof numbered === 'object') return numbered;
  const [distance, other, more] = numbered ? [second, third, open[3]] : [first, second, third];
  const explained: [number, number][] = numbered ? [[first.start, first.end]] : [];
  if (!other) return { distance, explained };
  const bracketed = /^[\s,]*[(=[/]\s*$/.test(text.slice(distance.end, other.start));
  const otherUnit = distance.unit !== other.unit && (distance.unitWritten || other.unitWritten);
  if (!more && bracketed && otherUnit) {
    if (Math.abs(distance.mm - other.mm) <= sameLength)
      return { distance, explained: [...explained, [other.start, other.end]] };
    return { why: `${distance.text} and ${other.text} are not the same length: keep the right one` };
  }
  return {
    why: `${open.length} numbers stand on this line: keep the distance, put a colon after the label, or name the columns in a line above`,
  };
}

/** The same length in another unit may differ by what a rule rounds, mm. */
const sameLength = 0.8;

/** True where the first number counts the line. */
function leadingNumber(
  text: string,
  first: Quantity,
  second: Quantity,
  around: Surroundings,
): boolean | { why: string } {
  const between = text.slice(first.end, second.start);
  const leads =
    /^[^\p{L}\p{N}]*$/u.test(text.slice(0, first.start)) && /^\d{1,3}$/.test(first.digits) && !first.unitWritten;
  if (!leads) return false;
  if (/^\s*(?:[)\]:]|\.(?=\s)|\.\)|[.)\]]\s*[:-]|=)\s*$/.test(between) || /^,\s+$/.test(between)) return true;
  const next = Number(first.digits) === around.nextNumber && !/^[.,]/.test(second.digits);
  if (!/^\s+(?:-\s+)?$/.test(between)) return false;
  if (between.includes('-')) return next && around.numbered > 1;
  if (next && (around.numbered > 0 || !/^\d{3}$/.test(second.digits))) return true;
  if (!/^\d{3}$/.test(second.digits)) return false;
  return {
    why: `could be ${first.digits}${second.digits} or number ${first.digits} at ${second.digits}: put a colon after the number`,
  };
}

function placeFrom(
  text: string,
  distance: Quantity,
  explained: readonly [number, number][],
  around: Surroundings,
): ReadPlace {
  const doubt = thousandDoubt(distance.digits, distance.unit, around);
  if (doubt) return doubt;
  const isExplained = (i: number) => explained.some(([start, end]) => i >= start && i < end);
  const left = Array.from(text.slice(0, distance.start), (sign, i) => (isExplained(i) ? ' ' : sign)).join('');
  const right = Array.from(text.slice(distance.end), (sign, i) => (isExplained(distance.end + i) ? ' ' : sign)).join(
    '',
  );
  const over =
    /[\p{N}/]*\p{N}[\p{N}/.,]*/u.exec(left.replace(/\p{L}\d+/gu, ' ')) ?? /[\p{N}/]*\p{N}[\p{N}/.,]*/u.exec(right);
  if (over) {
    return {
      why: `beside ${distance.text} stands "${shortened(over[0])}", which could belong to it: keep the distance, or put the rest in a column of its own`,
    };
  }
  const from = countedFrom(text);
  const label = cleanLabel(text.slice(0, distance.start));
  const note = text
    .slice(distance.end)
    .replace(/^[\s,;:)]*(?:from (?:the )?(?:tip|butt)(?: end)?(?!\p{L}))?[\s,;:]*/iu, '')
    .trim();
  return {
    mm: distance.mm,
    unit: distance.unit,
    ...(label !== '' && { label }),
    ...(note !== '' && { note }),
    ...(from && { from }),
  };
}

/** One figure, a dot and three more: thousands as many write them, or decimals. */
export function thousandDoubt(
  text: string,
  unit: ListUnit,
  { dotIsDecimal }: Surroundings,
): { why: string } | undefined {
  const digits = /^([1-9]\.\d{3})(?:\s*mm\.?)?$/i.exec(text.trim())?.[1];
  if (digits === undefined || unit !== 'mm' || dotIsDecimal) return undefined;
  const [whole, decimal] = [digits.replace('.', ''), String(Number(digits))];
  return { why: `"${digits}" could be ${whole} or ${decimal}: write it as ${whole} or ${decimal}` };
}

export const cleanLabel = (text: string): string =>
  text
    .replace(/^[^\p{L}\p{N}#№([]+/u, '')
    .replace(/(?:(?<!\p{L})from (?:the )?(?:tip|butt)(?: end)?(?!\p{L})|(?<!\p{L})at(?!\p{L}))\s*$/iu, '')
    .replace(/[\s.:,)\]=-]+$/, '')
    .replace(/^[([]/, '')
    .trim();
