import { plainSigns } from '../lengths/plain_signs.ts';
import type { Unit } from '../lengths/units.ts';

/** What a column of a pasted list holds. */
export type ColumnRole = 'distance' | 'gap' | 'label' | 'kind' | 'ring' | 'height' | 'other';
/** Where a list's distances are counted from. */
export type CountedFrom = 'tip' | 'butt' | 'ferrule';
export type ListUnit = Unit | 'cm';

export interface Column {
  role: ColumnRole;
  unit?: ListUnit;
  from?: CountedFrom;
}

/** A line of headings. `columns` is absent where the words name no columns. */
export interface Heading {
  columns?: Column[];
  /** unit of the distances, where the words name one for them */
  unit?: ListUnit;
  from?: CountedFrom;
  gaps?: boolean;
}

/*
 * Words that head columns, in the languages builders' lists are commonly written in; from dictionaries and memory.
 * Longer phrases decide before single words: "distance between guides" is a gap, "ring height" a height.
 */
const words: readonly (readonly [ColumnRole, RegExp])[] = [
  [
    'distance',
    phrase(
      'from (?:the )?(?:tip|butt|top|ferrule|handle|grip)|from tip end|von der spitze|ab spitze|du scion|depuis la pointe|desde la punta|dalla punta|da ponta|fr[aå]n toppen|vanaf de top',
    ),
  ],
  [
    'gap',
    phrase(
      'gaps?|spacings?|intervals?|between|to (?:the )?next|from (?:the )?(?:previous|last)|zum n[aä]chsten|zwischenabst[aä]nde?|zwischen|écarts?|ecarts?|espacements?|entre|separaci[oó]n|intervalos?|intervall[io]|mellanrum|tussenafstand|mellomrom|odst[eę]py?|odst[eę]p|mezera|v[aä]li|интервал|間隔|间距',
    ),
  ],
  [
    'height',
    phrase(
      'heights?|high|h[oö]hen?|hauteurs?|alturas?|altezz[ae]|h[oö]jd|hoogte|h[øo]yde|wysoko[sś][cć]|v[yý][sš]ka|высота|高さ|高度',
    ),
  ],
  [
    'ring',
    phrase(
      'ring ?(?:size|outer|inner|od|id|diameter)|sizes?|diameters?|durchmesser|gr[oö](?:ß|ss)en?|tailles?|tama[nñ]os?|misur[ae]|diam[eè]tres?|di[aá]metros?|diametr[io]|storlek|maat|st[oø]rrelse|rozmiar|размер|直径|サイズ|[Øø]|od',
    ),
  ],
  [
    'distance',
    phrase(
      'distances?|dist|positions?|pos|places?|locations?|at|abst[aä]nde?|entfernung(?:en)?|distanz|distancias?|posici[oó]n|posiciones|distanz[ae]|posizion[ei]|avst[aå]nd|afstand(?:en)?|et[aä]isyys|odleg[lł]o[sś][cć]|vzd[aá]lenost|t[aá]vols[aá]g|dist[aâ]ncias?|posi[cç][aã]o|расстояние|позиция|距離|距离|位置',
    ),
  ],
  ['ring', phrase('rings?|ringe|anneaux?|anillos?|anelli|anello')],
  ['kind', phrase('kinds?|types?|art|typ|tipo')],
  [
    'label',
    phrase(
      'guides?|no|nr|num|number|#|№|id|names?|labels?|marks?|items?|f[uü]hrung(?:en)?|ringnummer|nummer|num[eé]ro|gu[ií]as?|passant[ei]|[oö]gla|[oö]glor|oog|ogen',
    ),
  ],
  [
    'other',
    phrase(
      'tape|left over|foot|feet|wraps?|turns|thread|notes?|remarks?|comments?|bemerkung(?:en)?|anmerkung(?:en)?|remarques?|notas?',
    ),
  ],
];

function phrase(alternatives: string): RegExp {
  return new RegExp(`(?<![\\p{L}\\p{N}])(?:${alternatives})(?![\\p{L}\\p{N}])`, 'iu');
}

const buttWords = phrase('butt|butt end|handle end|grip end|rod end|talon|tal[oó]n|griffende|handteilende|rutenende');
const tipWords = phrase('tip|tip end|top|spitze|scion|pointe|punta|ponta|toppen');
const ferruleWords = phrase('ferrule');

/** Where some words say that distances are counted from, if they do. */
export function countedFrom(text: string): CountedFrom | undefined {
  const from = /(?<!\p{L})(?:from|off|vom|von|ab|du|de|depuis|desde|dal|dalla|fr[aå]n|vanaf|measured)(?!\p{L})/iu.exec(
    text,
  );
  if (!from) return undefined;
  const after = text.slice(from.index);
  const found = (
    [
      ['butt', buttWords],
      ['ferrule', ferruleWords],
      ['tip', tipWords],
    ] as const
  ).filter(([, pattern]) => pattern.test(after));
  return found.length === 1 ? found[0]![0] : undefined;
}

/** The unit some words name; undefined for none or several. */
export function unitNamed(text: string): ListUnit | undefined {
  const named = [
    /(?<!\p{L})(?:mm|millimet(?:re|er)s?|millim[eè]tres?|mil[ií]metros?|millimetri|millimeter)(?!\p{L})/iu.test(text) &&
      ('mm' as const),
    /(?<!\p{L})(?:cm|centimet(?:re|er)s?|zentimeter|centim[eè]tres?|cent[ií]metros?|centimetri)(?!\p{L})/iu.test(
      text,
    ) && ('cm' as const),
    // "in" alone is a word as well as a unit
    /(?<!\p{L})(?:inch(?:es)?|zoll|pouces?|pulgadas?|pollici|tum)(?!\p{L})|\(\s*(?:in\.?|")\s*\)|(?<!\p{L})in\.?$/iu.test(
      text,
    ) && ('in' as const),
  ].filter((found) => found !== false);
  return named.length === 1 ? named[0] : undefined;
}

/** What one cell of a heading says of its column. */
export function columnOf(cell: string): Column {
  const text = plainSigns(cell);
  const role = words.find(([, pattern]) => pattern.test(text))?.[0] ?? 'other';
  const unit = unitNamed(text);
  const from = role === 'distance' || role === 'gap' ? countedFrom(text) : undefined;
  return { role, ...(unit && { unit }), ...(from && { from }) };
}

/**
 * Reads a line without figures. A heading of one cell names the unit and the end that distances are counted from,
 * unless it speaks of rings or heights; several cells name columns, each with its own unit. `certain` cells (tabs,
 * semicolons) make columns where one of them is a distance; others (commas, spaces) only where two cells and half of
 * all hold nothing but words that head columns, since a sentence has commas too.
 */
export function readHeading(cells: readonly string[], certain: boolean): Heading {
  const columns = cells.map(columnOf);
  const measured = columns.some(({ role }) => role === 'distance' || role === 'gap');
  const plainWords = cells.filter((cell) => isHeadingOnly(plainSigns(cell))).length;
  if (cells.length > 1 && measured && (certain || (plainWords >= 2 && 2 * plainWords >= cells.length)))
    return { columns, ...ofDistances(columns) };
  const text = plainSigns(cells.join(' '));
  const { role } = columnOf(text);
  const from = countedFrom(text);
  const unit = role === 'ring' || role === 'height' ? undefined : unitBeside(text);
  return { ...(unit && { unit }), ...(from && { from }), ...(role === 'gap' && { gaps: true }) };
}

/** What columns say of the distances: of those counted from the tip first, then of the first, else of the gaps. */
function ofDistances(columns: readonly Column[]): Omit<Heading, 'columns'> {
  const column = columns[distanceColumnOf(columns)]!;
  return {
    ...(column.unit && { unit: column.unit }),
    ...(column.from && { from: column.from }),
    ...(column.role === 'gap' && { gaps: true }),
  };
}

/** Which of some headed columns holds the places. */
export function distanceColumnOf(columns: readonly Column[]): number {
  const tip = columns.findIndex(({ role, from }) => role === 'distance' && from === 'tip');
  const distance = columns.findIndex(({ role }) => role === 'distance');
  const gap = columns.findIndex(({ role }) => role === 'gap');
  return tip >= 0 ? tip : distance >= 0 ? distance : gap;
}

/** True for a cell of nothing but words that head a column, say where it is counted from, or name a unit. */
function isHeadingOnly(text: string): boolean {
  let left = text.replace(/\([^)]*\)/g, ' ');
  for (const [, pattern] of words) left = left.replace(new RegExp(pattern.source, 'giu'), ' ');
  left = left.replace(/(?<!\p{L})(?:from|the|tip|butt|end|ferrule|in|mm|cm|inch(?:es)?|of)(?!\p{L})/giu, ' ');
  return /\p{L}/u.test(text) && !/\p{L}/u.test(left);
}

/** The unit in a line of words, unless the word it follows is a ring or a height. */
function unitBeside(text: string): ListUnit | undefined {
  const unit = unitNamed(text);
  if (!unit) return undefined;
  const before = text.split(/[\s,(:]+/).map((word) => columnOf(word).role);
  const owner = before.findLast((role) => role !== 'other' && role !== 'label' && role !== 'kind');
  return owner === undefined || owner === 'distance' || owner === 'gap' ? unit : undefined;
}
