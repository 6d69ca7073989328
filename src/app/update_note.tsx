import { useApp } from './session/app_context.tsx';
import { loadUpdate } from './session/updates.ts';
import { updateWords } from './words/frame_words.ts';

/** Offers a newer version, or says that another tab has loaded it; never in the middle of a check. */
export function UpdateNote() {
  const { state, actions } = useApp();
  if (state.update === 'none') return null;
  const checking = state.run?.kind === 'running';
  const taken = state.update === 'taken';
  return (
    <div className="note" role="status">
      <p>
        {taken ? updateWords.taken : updateWords.ready} {checking && updateWords.afterCheck}
      </p>
      {!checking && (
        <button type="button" onClick={() => void actions.flush().then(loadUpdate)}>
          {taken ? updateWords.reload : updateWords.now}
        </button>
      )}
    </div>
  );
}
