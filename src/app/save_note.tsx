import { useApp } from './session/app_context.tsx';
import { saveWords } from './words/frame_words.ts';

/** Whether the last change is kept; when it isn't, why, and the ways out. */
export function SaveNote() {
  const { state, actions } = useApp();
  const save = state.save;
  if (save.kind === 'saved' || save.kind === 'saving')
    return <p className="saved">{state.storeProblem ? saveWords.onlyHere : saveWords[save.kind]}</p>;
  const button = (label: string, act: () => Promise<void>) => (
    <button type="button" onClick={() => void act()}>
      {label}
    </button>
  );
  return (
    <div className="note note-warn" role="alert">
      <p>
        {save.kind === 'out-of-space' && saveWords.outOfSpace}
        {save.kind === 'failed' && saveWords.failed(save.message)}
        {save.kind === 'changed-elsewhere' && saveWords.elsewhere}
        {save.kind === 'gone' && saveWords.gone}
      </p>
      {(save.kind === 'out-of-space' || save.kind === 'failed') && button(saveWords.retry, actions.retrySaving)}
      {save.kind === 'changed-elsewhere' && button(saveWords.takeTheirs, actions.takeTheirs)}
      {save.kind === 'changed-elsewhere' && button(saveWords.keepCopy, actions.keepAsCopy)}
      {save.kind === 'gone' && button(saveWords.keepMine, actions.keepAsCopy)}
    </div>
  );
}
