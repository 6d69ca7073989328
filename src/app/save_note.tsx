import { useApp } from './session/app_context.tsx';
import { words } from './words/words.ts';

/** Whether the last change is kept; when it isn't, why, and the ways out. */
export function SaveNote() {
  const { state, actions } = useApp();
  const save = state.save;
  if (save.kind === 'saved' || save.kind === 'saving')
    return <p className="saved">{save.kind === 'saved' ? words.save.saved : words.save.saving}</p>;
  const button = (label: string, act: () => Promise<void>) => (
    <button type="button" onClick={() => void act()}>
      {label}
    </button>
  );
  return (
    <div className="note note-warn" role="alert">
      <p>
        {save.kind === 'out-of-space' && words.save.outOfSpace}
        {save.kind === 'failed' && words.save.failed(save.message)}
        {save.kind === 'changed-elsewhere' && words.save.elsewhere}
        {save.kind === 'gone' && words.save.gone}
      </p>
      {(save.kind === 'out-of-space' || save.kind === 'failed') && button(words.save.retry, actions.retrySaving)}
      {save.kind === 'changed-elsewhere' && button(words.save.takeTheirs, actions.takeTheirs)}
      {save.kind === 'changed-elsewhere' && button(words.save.keepCopy, actions.keepAsCopy)}
      {save.kind === 'gone' && button(words.save.keepMine, actions.keepAsCopy)}
    </div>
  );
}
