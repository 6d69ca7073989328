import { useApp } from '../session/app_context.tsx';
import { words } from '../words/words.ts';

/** One sentence about the last thing that did not work. */
export function ProblemNote() {
  const { state, actions } = useApp();
  return (
    <div role="alert">
      {state.problem && (
        <div className="note note-warn">
          <p>{state.problem}</p>
          <button type="button" onClick={actions.dismissProblem}>
            {words.close}
          </button>
        </div>
      )}
    </div>
  );
}
