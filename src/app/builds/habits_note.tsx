import { useEffect, useState } from 'react';
import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { Habit } from '../../verdict/habits.ts';
import { degreesDoubt, degreesText, differenceText, doubtDigits, towardOf, turnOf } from '../../verdict/wording.ts';
import { useApp } from '../session/app_context.tsx';
import { habitsWords } from '../words/builds_words.ts';

/** What the builder does alike on rod after rod, where the checks bear it out; else nothing at all. */
export function HabitsNote() {
  const { state, actions } = useApp();
  const [known, setKnown] = useState<{ habits: Habit[]; lengths: LengthDisplay }>();
  const { builds } = state;
  useEffect(() => {
    let shown = true;
    void actions.habits(builds ?? []).then((found) => {
      if (shown) setKnown(found);
    });
    return () => {
      shown = false;
    };
  }, [actions, builds]);
  if (!known || known.habits.length === 0) return null;
  return (
    <section aria-label={habitsWords.title}>
      <h2>{habitsWords.title}</h2>
      <ul>
        {known.habits.map((habit) => (
          <li key={habit.kind}>{habitWords(habit, known.lengths)}</li>
        ))}
      </ul>
    </section>
  );
}

function habitWords({ kind, mean, expanded, rods }: Habit, lengths: LengthDisplay): string {
  if (kind === 'roll') return habitsWords.roll(`${degreesText(mean)} ${turnOf(mean)}`, rods, degreesDoubt(expanded));
  const where = `${differenceText(mean, lengths)} ${towardOf(mean)}`;
  return habitsWords.along(kind, where, rods, doubtDigits(expanded, lengths));
}
