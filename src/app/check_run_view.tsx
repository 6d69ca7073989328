import { useApp } from './app_context.tsx';
import type { CheckRun } from './state.ts';
import { words } from './words.ts';

/** A check under way, or why the last one gave no answer. */
export function CheckRunView({ run }: { run: CheckRun }) {
  const { actions } = useApp();
  if (run.kind !== 'running')
    return (
      <p className={run.kind === 'failed' ? 'note note-warn' : 'note'} role="alert">
        {run.kind === 'failed' && run.message}
        {run.kind === 'stopped' && words.check.stoppedHelp}
        {run.kind === 'interrupted' && words.check.interrupted}
      </p>
    );
  const percent = Math.round(run.done * 100);
  return (
    <section className="running" aria-label={words.check.running}>
      <p role="status">{run.stage}</p>
      <progress max={100} value={percent} aria-label={words.check.progress} />
      <button type="button" onClick={actions.stopCheck}>
        {words.check.cancel}
      </button>
    </section>
  );
}
