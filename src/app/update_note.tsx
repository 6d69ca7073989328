import { useApp } from './session/app_context.tsx';
import { loadUpdate } from './session/updates.ts';
import { updateWords } from './words/frame_words.ts';

/** Offers a newer version; never in the middle of a check. */
export function UpdateNote() {
  const { state, actions } = useApp();
  if (!state.updateReady) return null;
  const checking = state.run?.kind === 'running';
  return (
    <div className="note" role="status">
      <p>
        {updateWords.ready} {checking && updateWords.afterCheck}
      </p>
      {!checking && (
        <button type="button" onClick={() => void actions.flush().then(loadUpdate)}>
          {updateWords.now}
        </button>
      )}
    </div>
  );
}
