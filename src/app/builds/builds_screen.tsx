import { useState } from 'react';
import { useApp } from '../session/app_context.tsx';
import { BuildList } from './build_list.tsx';
import { Changelog } from './changelog.tsx';
import { DropArea } from '../kit/drop_area.tsx';
import { FileButton } from '../kit/file_button.tsx';
import { HabitsNote } from './habits_note.tsx';
import { KeptLenses } from './kept_lenses.tsx';
import { StorageNote } from './storage_note.tsx';
import { appWords } from '../words/app_words.ts';
import { buildsWords } from '../words/builds_words.ts';

/** Every build kept in this browser, and the ways to begin one. */
export function BuildsScreen() {
  const { state, actions } = useApp();
  const [fetching, setFetching] = useState<string>();
  const openFiles = (files: File[]) => void actions.openFiles(files);
  const openSample = () => {
    setFetching(appWords.loading);
    void actions
      .openSample((done, all) => setFetching(buildsWords.sampleLoading(done, all)))
      .finally(() => setFetching(undefined));
  };
  const empty = state.builds?.length === 0;
  return (
    <DropArea onFiles={openFiles} hint={buildsWords.drop}>
      <header className="top">
        <p className="brand">{appWords.name}</p>
        <p className="motto">{appWords.motto}</p>
      </header>
      <main id="main" className="page" tabIndex={-1}>
        <h1>{empty ? buildsWords.empty : buildsWords.title}</h1>
        {empty && <p className="lead">{buildsWords.emptyHelp}</p>}
        <div className="ways">
          <button type="button" className="primary" onClick={() => void actions.create()}>
            {buildsWords.create}
          </button>
          <button type="button" onClick={openSample} disabled={fetching !== undefined}>
            {buildsWords.sample}
          </button>
          <FileButton accept=".json,.zip,image/*" onFiles={openFiles}>
            {buildsWords.open}
          </FileButton>
        </div>
        <p className="hint" role="status">
          {fetching ?? (empty ? buildsWords.sampleHelp : '')}
        </p>
        {state.builds === undefined ? <p>{appWords.loading}</p> : <BuildList builds={state.builds} />}
        <HabitsNote />
        <p className="hint">{buildsWords.openHelp}</p>
        <KeptLenses />
        <Changelog />
        <StorageNote />
      </main>
    </DropArea>
  );
}
