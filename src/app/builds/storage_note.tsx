import { useApp } from '../session/app_context.tsx';
import { saveWords } from '../words/frame_words.ts';

const megabytes = (bytes: number) => `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`;

/** What the browser promises about keeping the builds, and how much room they take. */
export function StorageNote() {
  const { state, actions } = useApp();
  const storage = state.storage;
  if (!storage || state.storeProblem) return null;
  return (
    <footer className="storage">
      <p>
        {saveWords.locally} {storage.persistent ? saveWords.persistent : saveWords.notPersistent}{' '}
        {storage.used !== undefined && saveWords.used(megabytes(storage.used))}
      </p>
      {!storage.persistent && (
        <button type="button" className="quiet" onClick={() => void actions.askToPersist()}>
          {saveWords.askPersist}
        </button>
      )}
    </footer>
  );
}
