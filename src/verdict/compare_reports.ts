import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import type { Measured, Report, ReportItem } from './report.ts';
import { isUnsettled, isWrong } from './rod_verdict.ts';
import { capitalized, countText, degreesText, differenceText, listText, towardOf, turnOf } from './wording.ts';

export type ItemState = 'in-place' | 'wrong' | 'unsettled';

/** One place in two checks of the same rod. */
export interface ItemChange {
  id: string;
  before?: ItemState;
  after?: ItemState;
  /** after minus before, mm and degrees, where both were measured */
  moved?: Measured;
  turned?: Measured;
  /** the move or turn is larger than its own doubt */
  changed: boolean;
}

/** A ring against the mark an earlier shoot found at its place; mm, positive toward the butt. */
export interface RingOnMark {
  id: string;
  /** ring minus mark */
  fromMark: Measured;
  /** mark minus plan */
  markOff: Measured;
  /** ring minus plan */
  ringOff: Measured;
}

export const stateOf = (item: ReportItem): ItemState =>
  isWrong(item) ? 'wrong' : isUnsettled(item) ? 'unsettled' : 'in-place';

/** Place by place, in the later report's order, then places only the earlier one knew. Both of one stage. */
export function compareChecks(before: Report, after: Report): ItemChange[] {
  const earlier = new Map(before.items.map((i) => [i.id, i]));
  const later = new Set(after.items.map((i) => i.id));
  return [
    ...after.items.map((item) => changeOf(item.id, earlier.get(item.id), item)),
    ...before.items.filter((i) => !later.has(i.id)).map((item) => changeOf(item.id, item, undefined)),
  ];
}

function changeOf(id: string, before: ReportItem | undefined, after: ReportItem | undefined): ItemChange {
  const moved = difference(before?.along, after?.along);
  const turned = difference(before?.roll, after?.roll);
  const beyondDoubt = (d: Measured | undefined) => d !== undefined && Math.abs(d.value) > d.expanded;
  return {
    id,
    ...(before && { before: stateOf(before) }),
    ...(after && { after: stateOf(after) }),
    ...(moved && { moved }),
    ...(turned && { turned }),
    changed: beyondDoubt(moved) || beyondDoubt(turned) || before?.found !== after?.found,
  };
}

/** Two shoots have their own mat layout and photos: their doubts are taken as independent. */
function difference(before: Measured | undefined, after: Measured | undefined): Measured | undefined {
  if (!before || !after) return undefined;
  return { value: after.value - before.value, expanded: Math.hypot(before.expanded, after.expanded) };
}

/** What a second check says against the first: what was put right, what is still wrong, what came new. */
export function comparisonSentences(before: Report, after: Report, display: LengthDisplay): string[] {
  const changes = compareChecks(before, after);
  const ids = (holds: (c: ItemChange) => boolean) => changes.filter(holds).map((c) => c.id);
  const is = (list: readonly string[]) => (list.length === 1 ? 'is' : 'are');
  const sentences: string[] = [];
  const say = (list: string[], state: string) => {
    if (list.length > 0) sentences.push(`${listText(list)} ${is(list)} ${state}.`);
  };
  say(
    ids((c) => c.before !== undefined && c.before !== 'in-place' && c.after === 'in-place'),
    'now in place',
  );
  say(
    ids((c) => c.before === 'wrong' && c.after === 'wrong'),
    'still to be put right',
  );
  say(
    ids((c) => c.before !== undefined && c.before !== 'wrong' && c.after === 'wrong'),
    'wrong now and was not before',
  );
  say(
    ids((c) => c.before !== undefined && c.after === 'unsettled'),
    'not settled',
  );
  for (const change of changes) {
    if (!change.changed || change.before !== 'in-place' || change.after !== 'in-place') continue;
    const parts: string[] = [];
    if (change.moved && Math.abs(change.moved.value) > change.moved.expanded)
      parts.push(`moved ${differenceText(change.moved.value, display)} ${towardOf(change.moved.value)}`);
    if (change.turned && Math.abs(change.turned.value) > change.turned.expanded)
      parts.push(`turned ${degreesText(change.turned.value)} ${turnOf(change.turned.value)}`);
    if (parts.length > 0) sentences.push(`${change.id} ${parts.join(' and ')} and is still in place.`);
  }
  const thing = after.stage === 'marks' ? 'mark' : 'guide';
  const gone = before.extras.length - after.extras.length;
  if (gone > 0) sentences.push(`${capitalized(countText(gone, `extra ${thing}`))} ${gone === 1 ? 'is' : 'are'} gone.`);
  if (gone < 0) sentences.push(`${capitalized(countText(-gone, `extra ${thing}`))} ${gone === -1 ? 'is' : 'are'} new.`);
  return sentences.length > 0 ? sentences : ['Nothing has changed.'];
}

/** Each ring against the mark an earlier shoot found for it, where both were found. */
export function ringsOnMarks(marks: Pick<Report, 'items'>, rings: Pick<Report, 'items'>): RingOnMark[] {
  return rings.items.flatMap((ring) => {
    const mark = marks.items.find((m) => m.id === ring.id);
    const fromMark = difference(mark?.along, ring.along);
    if (!fromMark || !mark?.along || !ring.along) return [];
    return [
      {
        id: ring.id,
        fromMark,
        markOff: { value: mark.along.value - ring.planned, expanded: mark.along.expanded },
        ringOff: { value: ring.along.value - ring.planned, expanded: ring.along.expanded },
      },
    ];
  });
}

/** "G5: ring 0.4 mm from its mark, mark 0.2 mm from plan." */
export const ringOnMarkSentence = (
  { id, fromMark, markOff }: { id: string; fromMark: number; markOff: number },
  display: LengthDisplay,
): string =>
  `${id}: ring ${differenceText(fromMark, display)} from its mark, mark ${differenceText(markOff, display)} from plan.`;
