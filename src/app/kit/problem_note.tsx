import { useApp } from '../session/app_context.tsx';
import { appWords } from '../words/app_words.ts';

/** One sentence about the last thing that did not work. */
export function ProblemNote() {
  const { state, actions } = useApp();
  return (
    <div role="alert">
      {state.problem && (
        <div className="note note-warn">
          <p>{state.problem}</p>
          <button type="button" onClick={actions.dismissProblem}>
            {appWords.close}
          </button>
        </div>
      )}
    </div>
  );
}
