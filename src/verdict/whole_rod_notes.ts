import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import { guidesAreOn, type RollReference, type Stage } from '../plan/shoot.ts';
import { howToGetReference } from './advice.ts';
import { ringOnMarkSentence, ringsOnMarks } from './compare_reports.ts';
import { misreadOf, misreadSteps } from './misread.ts';
import type { Pattern } from './pattern.ts';
import type { Report, ReportExtra, ReportItem } from './report.ts';
import { sightingOf } from './sighting.ts';
import { amountText, countText, differenceText, listText, placeText, plannedText, towardOf } from './wording.ts';

const thing = (stage: Stage): string => (stage === 'marks' ? 'mark' : 'guide');

export interface WholeRod {
  stage: Stage;
  items: readonly ReportItem[];
  extras: readonly ReportExtra[];
  patterns: readonly Pattern[];
  scaleMeasured: boolean;
  /** the roll reference no photo gave, when no ring's roll could be told */
  missingReference?: RollReference;
}

/** Common practice, no source. */
const movingUnderThread =
  'A guide can still be moved a little under its thread; where it will not go, cut the thread and wrap it again.';

/** What can be said of the whole rod, as plain sentences: the count, what the pattern says, what is not measured. */
export function wholeRodNotes(rod: WholeRod, earlierMarks: Report | undefined, display: LengthDisplay): string[] {
  const { stage, items, extras } = rod;
  const notes = [countSentence(stage, items, extras, display)];
  for (const pattern of rod.patterns) {
    // A misreading is said with its own item, unless that item passes all the same.
    if (pattern.kind === 'misread' && items.some((i) => i.id === pattern.id && i.cause)) continue;
    notes.push(patternSentence(stage, pattern, display));
  }
  notes.push(...strayHints(stage, items, extras, display));
  if (!rod.scaleMeasured)
    notes.push(
      'Neither a row of squares nor the span was measured, so the scale is only as good as the printer: measure them to settle the rest.',
    );
  if (stage === 'wrapped' && items.some((i) => i.alongVerdict === 'off' || i.rollVerdict === 'off'))
    notes.push(movingUnderThread);
  if (rod.missingReference) notes.push(howToGetReference[rod.missingReference]);
  if (earlierMarks && guidesAreOn(stage))
    for (const { id, fromMark, markOff } of ringsOnMarks(earlierMarks, { items: items.filter((i) => !i.mark) }))
      notes.push(ringOnMarkSentence({ id, fromMark: fromMark.value, markOff: markOff.value }, display));
  return notes;
}

const lostStates = [
  ['not-there', 'missing'],
  ['not-made-out', 'not made out'],
  ['in-no-photo', 'in no photo'],
] as const;

/** The count, outright: "9 marks planned, 8 found; the one at 21 3/4 in is missing." */
function countSentence(
  stage: Stage,
  items: readonly ReportItem[],
  extras: readonly ReportExtra[],
  display: LengthDisplay,
): string {
  const found = items.filter((i) => i.found).length;
  const places = (list: readonly ReportItem[]) => listText(list.map((i) => plannedText(i.planned, display)));
  const some = (list: readonly ReportItem[], state: string) =>
    list.length === 0
      ? []
      : [list.length === 1 ? `the one at ${places(list)} is ${state}` : `those at ${places(list)} are ${state}`];
  const planned = `${items.length} ${thing(stage)}${items.length === 1 ? '' : 's'} planned`;
  const extraPlaces = listText(extras.map((e) => placeText(e.along.value, display)));
  const parts = [
    `${planned}, ${found === items.length ? (found === 1 ? 'it is found' : 'all found') : `${found === 0 ? 'none' : found} found`}`,
    ...lostStates.flatMap(([sighting, state]) =>
      some(
        items.filter((i) => sightingOf(i) === sighting),
        state,
      ),
    ),
    ...(extras.length > 0 ? [`${countText(extras.length, 'more', 'more')} not in the plan, at ${extraPlaces}`] : []),
  ];
  return `${parts.join('; ')}.`;
}

const percent = (fraction: number): string => `${Number((Math.abs(fraction) * 100).toPrecision(2))} %`;

/** A pattern in words, with its figure and what usually makes it. */
function patternSentence(stage: Stage, pattern: Pattern, display: LengthDisplay): string {
  const every = `Every ${thing(stage)}`;
  switch (pattern.kind) {
    case 'shift': {
      const doubt = differenceText(2 * pattern.u, display);
      const why =
        stage === 'marks' ? 'likely a slipped or bent tape hook' : 'likely the whole row was set from a wrong zero';
      const by = differenceText(pattern.value, display);
      return `${every} sits ${by} ${towardOf(pattern.value)}, give or take ${doubt}: ${why}.`;
    }
    case 'growth': {
      const longer = pattern.value > 0 ? 'long' : 'short';
      return `Every distance is ${percent(pattern.value)} too ${longer}, give or take ${percent(2 * pattern.u)}: likely a list printed at the wrong scale, a stretched tape, or a rule read on the wrong scale.`;
    }
    case 'accumulating':
      return `The errors add up along the rod, about ${differenceText(pattern.step, display)} from one ${thing(stage)} to the next: likely each was measured from its neighbour instead of from the tip.`;
    case 'misread': {
      const name = misreadSteps.find((s) => s.length === pattern.length)?.name ?? amountText(pattern.length, display);
      return `${pattern.id} is out by ${name}, ${towardOf(pattern.offset)}: likely a misread tape.`;
    }
    case 'wrong-end':
      return `${every} fits its distance counted from the butt end: likely the tape was laid from the wrong end.`;
  }
}

/**
 * Extras that stand a whole division of the tape away from where an item belongs that was not found, each as a
 * sentence.
 */
function strayHints(
  stage: Stage,
  items: readonly ReportItem[],
  extras: readonly ReportExtra[],
  display: LengthDisplay,
): string[] {
  return extras.flatMap((extra) => {
    for (const item of items) {
      if (item.found || sightingOf(item) === 'in-no-photo') continue;
      const step = misreadOf(extra.along.value - item.planned, 1 + extra.along.expanded);
      if (step)
        return [
          `The extra ${thing(stage)} at ${placeText(extra.along.value, display)} stands ${step.name} from where ${item.id} belongs: perhaps it is that one.`,
        ];
    }
    return [];
  });
}
