import { counted } from './counted.ts';

/** Names of changes, as undo and redo say them. */
export const changeWords = {
  addPhotos: (count: number) => counted(count, 'add a photo', 'add # photos'),
  removePhoto: (name: string) => `take out ${name}`,
  thread: 'thread colour',
  lengths: 'unit shown',
  newRound: 'start another round of photos',
  field: (label: string) => `change of “${label}”`,
  choice: 'another choice',
  addPlace: (name: string) => `add ${name}`,
  removePlace: (name: string) => `take out ${name}`,
  movePlace: (name: string) => `move ${name}`,
  order: 'list from tip to butt',
  rolls: 'the spiral of guides',
  usePlaces: (count: number) => counted(count, 'one place filled in', '# places filled in'),
  marked: (id: string) => `mark of ${id}`,
  unmarked: (id: string) => `mark of ${id} taken back`,
  marksAnew: 'marking begun anew',
  shape: (id: string) => `shape of ${id}`,
};
