import { InputError } from '../input_error.ts';
import { shortened } from '../lengths/length_text.ts';
import type { ListChoices } from '../lists/list_questions.ts';
import { type PastedLine, type PastedPlace, readPastedList } from '../lists/pasted_list.ts';
import { type Plan, planStart } from '../plan.ts';

/** Positions the builder has, tip to butt (mm) or as a list in words, with answers to what the list leaves open. */
export type EnteredLayout = { kind: 'entered' } & ({ at: number[] } | { text: string; choices?: ListChoices });

/**
 * One distance for each guide, from tip to butt. Throws InputError for a list that cannot be read, or in more than one
 * way.
 */
export function enteredPositions(
  layout: EnteredLayout,
  guides: number,
  plan: Omit<Plan, 'positions'>,
): { at: number[]; labels?: (string | undefined)[]; lines?: PastedLine[] } {
  if ('at' in layout) return { at: counted(layout.at, guides) };
  const { blank, section, fittings = [], unit } = plan;
  const start = planStart(plan);
  const ferrule = section && start > 0 ? start : fittings.find(({ kind }) => kind === 'ferrule')?.from;
  const { lines, questions } = readPastedList(layout.text, {
    unit,
    end: start + blank.length,
    ...(ferrule !== undefined && { ferrule }),
    ...(layout.choices && { choices: layout.choices }),
  });
  const problem = lines.find((line) => line.outcome === 'problem');
  if (problem)
    throw new InputError(`Line ${problem.line} of the list, "${shortened(problem.text.trim())}": ${problem.why}.`);
  const [question] = questions;
  if (question) {
    const answers = question.answers.map(({ value }) => `"${question.about}": "${value}"`).join(' or ');
    throw new InputError(`The list can be read in two ways. ${question.text} Add ${answers} beside its text.`);
  }
  // rings are described from tip to butt, whichever way the list runs
  const places = lines
    .filter(
      (line): line is PastedLine & PastedPlace => line.outcome === 'position' && (line.kind ?? 'guide') === 'guide',
    )
    .toSorted((a, b) => a.mm - b.mm);
  return {
    at: counted(
      places.map(({ mm }) => mm),
      guides,
    ),
    labels: places.map(({ label }) => label),
    lines,
  };
}

/** The distances, once there is one for each guide. */
export function counted(at: number[], guides: number): number[] {
  if (at.length === guides) return at;
  throw new InputError(`There are ${at.length} distances for ${guides} guides; give one for each.`);
}
