import { findHabits, habitSentence } from '../verdict/habit.ts';
import { useApp } from './app_context.tsx';
import { words } from './words.ts';

/** What the builder does alike on rod after rod, once enough rods say so. */
export function Habits() {
  const { builds } = useApp().state;
  const habits = findHabits((builds ?? []).flatMap((build) => (build.offsets ? [build.offsets] : [])));
  if (habits.length === 0) return null;
  return (
    <section aria-label={words.builds.habits}>
      <h2>{words.builds.habits}</h2>
      {habits.map((habit) => (
        <p key={habit.stage}>{habitSentence(habit, builds?.[0]?.lengths ?? 'mm')}</p>
      ))}
    </section>
  );
}
