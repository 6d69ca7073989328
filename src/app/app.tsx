import { useEffect } from 'react';
import { useApp } from './session/app_context.tsx';
import { BuildFrame } from './build_frame.tsx';
import { BuildsScreen } from './builds/builds_screen.tsx';
import { ProblemNote } from './kit/problem_note.tsx';
import { UpdateNote } from './update_note.tsx';
import { usePlace } from './route/use_place.ts';
import { watchForUpdates } from './session/updates.ts';
import { appWords } from './words/app_words.ts';

/** The whole app: which screen stands at the place the URL names. */
export function App() {
  const place = usePlace();
  const { state, actions } = useApp();

  useEffect(() => watchForUpdates(actions.update), [actions]);

  return (
    <>
      <a className="skip" href="#main" onClick={skipToMain}>
        {appWords.skip}
      </a>
      <UpdateNote />
      {state.storeProblem && <p className="note note-warn">{state.storeProblem}</p>}
      <ProblemNote />
      {place.screen === 'builds' ? <BuildsScreen /> : <BuildFrame place={place} />}
    </>
  );
}

/** The hash is the app's place, so the skip link moves the focus itself. */
function skipToMain(event: React.MouseEvent): void {
  event.preventDefault();
  document.getElementById('main')?.focus();
}
