import { type Database, NoDatabase, openDatabase } from '../../store/database.ts';
import { dropUnusedPhotos } from '../../store/builds.ts';
import { takeLease } from '../../store/lease.ts';
import { Shelf } from '../../store/shelf.ts';
import { openTabs } from '../../store/tabs.ts';
import { reason } from '../../plan/reason.ts';
import { sweepLanes } from '../workers/lanes_file.ts';
import { BuildSaver, type SaveReport } from './build_saver.ts';
import { saveWords } from '../words/frame_words.ts';

/** What lives as long as the page: the store, its saver, the line to other tabs. */
export interface Services {
  shelf: Shelf;
  saver: BuildSaver;
  tabs: ReturnType<typeof openTabs>;
}

export interface ServiceEvents {
  onSave: (report: SaveReport) => void;
  onOtherTab: (buildId: string, revision: number) => void;
  onStoreProblem: (message: string) => void;
}

export async function startServices(events: ServiceEvents): Promise<Services> {
  // what a check left aside whose page was closed
  void sweepLanes();
  const database = await openStore(events.onStoreProblem);
  const shelf = new Shelf(database);
  return {
    shelf,
    saver: new BuildSaver(shelf, events.onSave),
    tabs: openTabs(events.onOtherTab),
  };
}

async function openStore(onProblem: (message: string) => void): Promise<Database | undefined> {
  try {
    const database = await openDatabase(() => onProblem(saveWords.olderTab));
    // what could not be cleared away now stays until the next start
    await takeLease(() => dropUnusedPhotos(database).catch(() => {}));
    return database;
  } catch (error) {
    onProblem(whyNoStore(error));
    return undefined;
  }
}

function whyNoStore(error: unknown): string {
  const kind = error instanceof NoDatabase ? error.kind : 'refused';
  if (kind === 'newer') return saveWords.newerStore;
  if (kind === 'older-tab') return saveWords.olderTabHolds;
  if (kind === 'silent') return saveWords.silentStore;
  return saveWords.noStore(reason(error));
}
