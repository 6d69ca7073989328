import type { KeptCheck } from '../../store/build.ts';
import { ItemRow } from './item_row.tsx';
import { usePlace } from '../route/use_place.ts';
import { itemWords } from '../words/items_words.ts';

/** A row for each planned place, from tip to butt; the one the place names stands open. */
export function ItemRows({ check }: { check: KeptCheck }) {
  const place = usePlace();
  const chosen = place.screen === 'build' ? place.item : undefined;
  return (
    <section aria-label={itemWords.title}>
      <h2>{itemWords.title}</h2>
      <ul className="items">
        {check.report.items.map((item) => (
          <ItemRow key={item.id} item={item} check={check} open={item.id === chosen} />
        ))}
      </ul>
    </section>
  );
}
