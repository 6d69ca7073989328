import { useApp } from '../session/app_context.tsx';
import type { CheckRun } from '../session/state.ts';
import { checkWords } from '../words/check_words.ts';

/** A check under way, or why the last one gave no answer. */
export function CheckRunView({ run }: { run: CheckRun }) {
  const { actions } = useApp();
  if (run.kind !== 'running')
    return (
      <p className={run.kind === 'failed' ? 'note note-warn' : 'note'} role="alert">
        {run.kind === 'failed' && run.message}
        {run.kind === 'stopped' && checkWords.stoppedHelp}
        {run.kind === 'interrupted' && checkWords.interrupted}
      </p>
    );
  const percent = Math.round(run.done * 100);
  return (
    <section className="running" aria-label={checkWords.running}>
      <p role="status">{run.stage}</p>
      <progress max={100} value={percent} aria-label={checkWords.progress} />
      <button ref={takeFocus} type="button" onClick={actions.stopCheck}>
        {checkWords.cancel}
      </button>
    </section>
  );
}

/** The button that started the check is gone, and its focus with it: the way to stop takes it over. */
function takeFocus(button: HTMLButtonElement | null): void {
  if (document.activeElement === document.body) button?.focus({ preventScroll: true });
}
