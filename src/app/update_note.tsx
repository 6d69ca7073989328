import { useState } from 'react';
import { useApp } from './session/app_context.tsx';
import { loadUpdate } from './session/updates.ts';
import { updateWords } from './words/frame_words.ts';

/** How long what was changed may take to be kept before the page asks whether to leave all the same, ms. */
const keepTime = 3000;

/** Offers a newer version, or says that another tab has loaded it; never in the middle of a check. */
export function UpdateNote() {
  const { state, actions } = useApp();
  const [load, setLoad] = useState<'offered' | 'under-way' | 'held'>('offered');
  if (state.update === 'none') return null;
  const checking = state.run?.kind === 'running';
  const taken = state.update === 'taken';
  const reload = async () => {
    setLoad('under-way');
    await Promise.race([actions.flush(), new Promise((resolve) => setTimeout(resolve, keepTime))]);
    await loadUpdate();
    setLoad('held');
  };
  return (
    <div className="note" role="status">
      <p>
        {taken ? updateWords.taken : updateWords.ready} {checking && updateWords.afterCheck}
        {!checking && load === 'under-way' && updateWords.loading}
        {!checking && load === 'held' && updateWords.held}
      </p>
      {!checking && load !== 'under-way' && (
        <button type="button" onClick={() => void reload()}>
          {taken ? updateWords.reload : updateWords.now}
        </button>
      )}
    </div>
  );
}
