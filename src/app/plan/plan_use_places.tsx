import { plainGuide } from '../../plan/layouts/starting_guides.ts';
import { useApp } from '../session/app_context.tsx';
import { type FoundPlace, fillPlaces } from '../edits/plan_edits.ts';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';

/** Takes places that were read or worked out over into the list. */
export function UsePlaces({ places, disabled = false }: { places: readonly FoundPlace[]; disabled?: boolean }) {
  const { actions } = useApp();
  const use = () =>
    actions.edit(changeWords.usePlaces(places.length), (document) => fillPlaces(document, places, plainGuide));
  if (places.length === 0) return null;
  return (
    <div className="ways">
      <button type="button" className="primary" disabled={disabled} onClick={use}>
        {planWords.use(places.length)}
      </button>
      <p className="hint">{planWords.useHelp}</p>
    </div>
  );
}
