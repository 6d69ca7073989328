import { useState } from 'react';
import type { BuildSummary } from '../../store/build.ts';
import { useApp } from '../session/app_context.tsx';
import { ChoiceField } from '../fields/plan_fields.tsx';
import { BuildCard } from './build_card.tsx';
import { groupedByDue } from './grouped_by_due.ts';
import { buildsWords } from '../words/builds_words.ts';

type Order = keyof typeof buildsWords.orders;

/** The builds as they were changed or by what is due; several can be chosen and saved at once. */
export function BuildList({ builds }: { builds: readonly BuildSummary[] }) {
  const [order, setOrder] = useState<Order>('changed');
  const [chosen, setChosen] = useState<ReadonlySet<string>>();
  const choose = (id: string) => {
    const next = new Set(chosen);
    if (!next.delete(id)) next.add(id);
    setChosen(next);
  };
  const cards = (some: readonly BuildSummary[]) => (
    <ul className="cards">
      {some.map((build) => (
        <BuildCard
          key={build.id}
          build={build}
          {...(chosen && !build.damaged && { chosen: chosen.has(build.id), onChoose: () => choose(build.id) })}
        />
      ))}
    </ul>
  );
  return (
    <>
      {builds.length > 1 && (
        <div className="builds-ways">
          <ChoiceField label={buildsWords.order} value={order} names={buildsWords.orders} onChange={setOrder} />
          <button type="button" onClick={() => setChosen(chosen ? undefined : new Set())}>
            {chosen ? buildsWords.chooseDone : buildsWords.choose}
          </button>
        </div>
      )}
      {chosen && <ChosenBuilds builds={builds} chosen={chosen} setChosen={setChosen} />}
      {order === 'changed'
        ? cards(builds)
        : groupedByDue(builds).map(({ due, builds: some }) => (
            <section key={due ?? ''} className="due" aria-label={due ? buildsWords.due[due] : buildsWords.damagedGroup}>
              <h2>{due ? buildsWords.due[due] : buildsWords.damagedGroup}</h2>
              {cards(some)}
            </section>
          ))}
    </>
  );
}

/** What is done with the chosen ones. */
function ChosenBuilds({
  builds,
  chosen,
  setChosen,
}: {
  builds: readonly BuildSummary[];
  chosen: ReadonlySet<string>;
  setChosen: (chosen: ReadonlySet<string>) => void;
}) {
  const { actions } = useApp();
  const [saving, setSaving] = useState<number>();
  // in the order of the list, and only what is still there
  const ids = builds.filter(({ id, damaged }) => chosen.has(id) && !damaged).map(({ id }) => id);
  const save = () => {
    setSaving(1);
    void actions.exportBuilds(ids, setSaving).finally(() => setSaving(undefined));
  };
  return (
    <div className="ways">
      <button
        type="button"
        onClick={() => setChosen(new Set(builds.filter(({ damaged }) => !damaged).map(({ id }) => id)))}
      >
        {buildsWords.chooseAll}
      </button>
      <button type="button" className="primary" disabled={ids.length === 0 || saving !== undefined} onClick={save}>
        {saving === undefined ? buildsWords.saveChosen(ids.length) : buildsWords.savingChosen(saving, ids.length)}
      </button>
      <p className="hint">{buildsWords.chooseHelp}</p>
    </div>
  );
}
