import { openDatabase } from '../../store/database.ts';
import { Shelf } from '../../store/shelf.ts';
import { openTabs } from '../../store/tabs.ts';
import { BuildSaver } from './build_saver.ts';
import type { SaveState } from './state.ts';
import type { Build } from '../../store/build.ts';
import { saveWords } from '../words/frame_words.ts';

/** What lives as long as the page: the store, its saver, the line to other tabs. */
export interface Services {
  shelf: Shelf;
  saver: BuildSaver;
  tabs: ReturnType<typeof openTabs>;
}

export interface ServiceEvents {
  onSave: (save: SaveState, build: Build) => void;
  onOtherTab: (buildId: string, revision: number) => void;
  onStoreProblem: (message: string) => void;
}

export async function startServices(events: ServiceEvents): Promise<Services> {
  const database = await openDatabase(() => events.onStoreProblem(saveWords.olderTab)).catch((error: unknown) => {
    events.onStoreProblem(saveWords.noStore(error instanceof Error ? error.message : String(error)));
    return undefined;
  });
  const shelf = new Shelf(database);
  return {
    shelf,
    saver: new BuildSaver(shelf, events.onSave),
    tabs: openTabs(events.onOtherTab),
  };
}
