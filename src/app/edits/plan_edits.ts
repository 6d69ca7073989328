import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { Guide, Plan, Position, PositionKind } from '../../plan/plan.ts';
import type { BuildDocument, Written } from '../../store/build.ts';
import { unitOf } from './plan_reading.ts';

export type Edit = (document: BuildDocument) => BuildDocument;

export const editPlan =
  (change: (plan: Plan) => Plan): Edit =>
  (document) => ({ ...document, plan: change(document.plan) });

/** A field's text beside its value; without a text the field shows the value alone. */
export function withWritten(document: BuildDocument, name: string, written: Written | undefined): BuildDocument {
  const { [name]: _, ...rest } = document.written ?? {};
  return { ...document, written: written ? { ...rest, [name]: written } : rest };
}

/** Fields of the plan itself whose text can't be read, so that the plan still has what stood there before. */
export const unreadFields = ({ written = {} }: BuildDocument): string[] =>
  Object.keys(written).filter((name) => name.startsWith('plan.') && written[name]!.value === undefined);

/** The name of a field of the place at this row. */
export const rowField = (row: number, field: string): string => `plan.row.${row}.${field}`;

/**
 * The list of places put together anew: each is an old row, by its number, or a new place. Texts that stand in the rows
 * go with them.
 */
export function arrange(document: BuildDocument, rows: readonly (number | Position)[]): BuildDocument {
  const old = document.plan.positions;
  const positions = rows.map((row) => (typeof row === 'number' ? old[row]! : row));
  const written = Object.fromEntries(
    Object.entries(document.written ?? {}).flatMap(([name, text]) => {
      const [, row, field] = /^plan\.row\.(\d+)\.(.+)$/.exec(name) ?? [];
      if (row === undefined || field === undefined) return [[name, text]];
      const to = rows.indexOf(Number(row));
      return to < 0 ? [] : [[rowField(to, field), text]];
    }),
  );
  return { ...document, plan: { ...document.plan, positions }, written };
}

export const changeRow =
  (row: number, change: (position: Position) => Position): Edit =>
  (document) => ({
    ...document,
    plan: {
      ...document.plan,
      positions: document.plan.positions.map((position, i) => (i === row ? change(position) : position)),
    },
  });

/** All texts of one row are dropped, so that it shows its values. */
export function withoutRowTexts(document: BuildDocument, row: number): BuildDocument {
  const written = Object.entries(document.written ?? {}).filter(([name]) => !name.startsWith(rowField(row, 'guide')));
  return { ...document, written: Object.fromEntries(written) };
}

export const inOrder = (positions: readonly Position[]): boolean =>
  positions.every((position, i) => i === 0 || position.at >= positions[i - 1]!.at);

/** Rows from tip to butt. */
export const sortRows: Edit = (document) => {
  const { positions } = document.plan;
  return arrange(
    document,
    positions.map((_, i) => i).toSorted((a, b) => positions[a]!.at - positions[b]!.at),
  );
};

const firstNames: Record<PositionKind, string> = {
  guide: 'G',
  'tip-wrap': 'T',
  'ferrule-wrap': 'F',
  'hook-keeper': 'K',
};

/** A name no place has yet: G1, G2 for guides; a lone letter for the rest, numbered when it is taken. */
export function freeName(positions: readonly Position[], kind: PositionKind): string {
  const taken = new Set(positions.map((position) => position.id));
  const letter = firstNames[kind];
  if (kind !== 'guide' && !taken.has(letter)) return letter;
  let n = kind === 'guide' ? positions.filter((position) => position.kind === 'guide').length + 1 : 2;
  while (taken.has(`${letter}${n}`)) n++;
  return `${letter}${n}`;
}

/** Adds a place where it belongs between tip and butt; a guide takes the shape of its neighbour toward the tip. */
export function addPlace(
  document: BuildDocument,
  { id, kind, at }: { id: string; kind: PositionKind; at: number },
  plain: Guide,
): BuildDocument {
  const { positions } = document.plan;
  const found = positions.findIndex((position) => position.at > at);
  const row = found < 0 ? positions.length : found;
  const like = positions.slice(0, row).findLast((position) => position.guide) ?? positions.find((p) => p.guide);
  const position: Position =
    kind === 'guide' ? { id, kind, at, guide: { ...(like?.guide ?? plain) } } : { id, kind, at };
  return arrange(document, [...positions.keys()].toSpliced(row, 0, position as never) as (number | Position)[]);
}

/** A place read or worked out, to stand in the list. */
export interface FoundPlace {
  at: number;
  id?: string;
  kind?: PositionKind;
  /** a guide's shape, where it came with its place */
  guide?: Guide;
}

/**
 * Guides take the places found, in order from the tip, and keep their shapes and names as far as they go; more guides
 * are like the last. Places of other kinds are put in beside what is there, in place of one of the same name.
 */
export function fillPlaces(document: BuildDocument, found: readonly FoundPlace[], plain: Guide): BuildDocument {
  const { positions } = document.plan;
  const guidesBefore = positions.filter((position) => position.kind === 'guide');
  const sorted = found.toSorted((a, b) => a.at - b.at);
  const named = new Set(sorted.map(({ id }) => id));
  const others = positions.filter((position) => position.kind !== 'guide' && !named.has(position.id));
  const placed: Position[] = [];
  let guides = 0;
  for (const { at, id, kind = 'guide', guide } of sorted) {
    const name = (wanted: string | undefined) => {
      const taken = [...others, ...placed];
      return wanted !== undefined && !taken.some((position) => position.id === wanted) ? wanted : freeName(taken, kind);
    };
    if (kind !== 'guide') placed.push({ id: name(id), kind, at });
    else {
      const like = guidesBefore[guides] ?? guidesBefore.at(-1);
      placed.push({
        id: name(id ?? guidesBefore[guides]?.id),
        kind,
        at,
        guide: { ...(guide ?? like?.guide ?? plain) },
      });
      guides++;
    }
  }
  return arrange(
    document,
    [...others, ...placed].toSorted((a, b) => a.at - b.at),
  );
}

/** The unit the builder reads and writes in, on screen and in the plan's own file. */
export const setLengths =
  (lengths: LengthDisplay): Edit =>
  (document) => ({ ...document, lengths, plan: { ...document.plan, unit: unitOf(lengths) } });

/** What a label in a pasted list says a place is. */
export function kindOfLabel(label: string | undefined): PositionKind {
  if (label === undefined) return 'guide';
  // the letters places are called by here, unless they get a name
  const letter = (Object.keys(firstNames) as PositionKind[]).find((kind) => label === firstNames[kind]);
  if (letter !== undefined) return letter;
  if (/keeper/i.test(label)) return 'hook-keeper';
  if (/ferrule/i.test(label)) return 'ferrule-wrap';
  if (/tip\s*-?\s*(?:wrap|top)/i.test(label)) return 'tip-wrap';
  return 'guide';
}
