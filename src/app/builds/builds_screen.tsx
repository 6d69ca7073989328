import { useState } from 'react';
import { useApp } from '../session/app_context.tsx';
import { BuildCard } from './build_card.tsx';
import { DropArea } from '../kit/drop_area.tsx';
import { FileButton } from '../kit/file_button.tsx';
import { HabitsNote } from './habits_note.tsx';
import { StorageNote } from './storage_note.tsx';
import { words } from '../words/words.ts';

/** Every build kept in this browser, and the ways to begin one. */
export function BuildsScreen() {
  const { state, actions } = useApp();
  const [fetching, setFetching] = useState<string>();
  const openFiles = (files: File[]) => void actions.openFiles(files);
  const openSample = () => {
    setFetching(words.loading);
    void actions
      .openSample((done, all) => setFetching(words.builds.sampleLoading(done, all)))
      .finally(() => setFetching(undefined));
  };
  const empty = state.builds?.length === 0;
  return (
    <DropArea onFiles={openFiles} hint={words.builds.drop}>
      <header className="top">
        <p className="brand">{words.name}</p>
        <p className="motto">{words.motto}</p>
      </header>
      <main id="main" className="page" tabIndex={-1}>
        <h1>{empty ? words.builds.empty : words.builds.title}</h1>
        {empty && <p className="lead">{words.builds.emptyHelp}</p>}
        <div className="ways">
          <button type="button" className="primary" onClick={() => void actions.create()}>
            {words.builds.create}
          </button>
          <button type="button" onClick={openSample} disabled={fetching !== undefined}>
            {words.builds.sample}
          </button>
          <FileButton accept=".json,.zip,image/*" onFiles={openFiles}>
            {words.builds.open}
          </FileButton>
        </div>
        <p className="hint" role="status">
          {fetching ?? (empty ? words.builds.sampleHelp : '')}
        </p>
        {state.builds === undefined ? (
          <p>{words.loading}</p>
        ) : (
          <ul className="cards">
            {state.builds.map((build) => (
              <BuildCard key={build.id} build={build} />
            ))}
          </ul>
        )}
        <HabitsNote />
        <p className="hint">{words.builds.openHelp}</p>
        <StorageNote />
      </main>
    </DropArea>
  );
}
