import { useApp, useBuild } from './app_context.tsx';
import { CheckRunView } from './check_run_view.tsx';
import { canCheck } from './step_needs.ts';
import { words } from './words.ts';

/** The check step: run it, then what it says. */
export function CheckScreen() {
  const { state, actions } = useApp();
  const build = useBuild();
  const run = state.run?.buildId === build.kept.id ? state.run : undefined;
  return (
    <>
      {run && <CheckRunView run={run} />}
      {run?.kind !== 'running' && (
        <div className="ways">
          <button
            type="button"
            className="primary"
            disabled={!canCheck(build.history.present)}
            onClick={() => void actions.runCheck()}
          >
            {build.checks.length > 0 ? words.check.runAgain : words.check.run}
          </button>
        </div>
      )}
    </>
  );
}
