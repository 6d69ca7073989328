import { shownName } from '../../plan/shown_name.ts';
import { counted } from './counted.ts';

/** Names of changes, as undo and redo say them. */
export const changeWords = {
  addPhotos: (count: number) => counted(count, 'add a photo', 'add # photos'),
  removePhoto: (name: string) => `take out ${shownName(name)}`,
  thread: 'thread colour',
  lengths: 'unit shown',
  newRound: 'start another round of photos',
  field: (label: string) => `change of “${shownName(label)}”`,
  choice: 'another choice',
  addPlace: (name: string) => `add ${shownName(name)}`,
  removePlace: (name: string) => `take out ${shownName(name)}`,
  movePlace: (name: string) => `move ${shownName(name)}`,
  order: 'list from tip to butt',
  rolls: 'the spiral of guides',
  usePlaces: (count: number) => counted(count, 'one place filled in', '# places filled in'),
  marked: (id: string) => `mark of ${shownName(id)}`,
  unmarked: (id: string) => `mark of ${shownName(id)} taken back`,
  marksAnew: 'marking begun anew',
  shape: (id: string) => `shape of ${shownName(id)}`,
};
