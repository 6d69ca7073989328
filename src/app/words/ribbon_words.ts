import { shownName } from '../../plan/shown_name.ts';
/** What the ribbon says. */
export const ribbonWords = {
  label: 'The rod, tip at the left',
  keys: 'Places on the rod. Left and right go from one to the next, plus and minus zoom, zero shows the whole rod.',
  empty: 'The rod is drawn here as soon as the plan has places on it.',
  drawn: 'Drawn from the plan',
  soFar: (photos: number) =>
    photos === 1 ? 'Measured so far, from one photo' : `Measured so far, from ${photos} photos`,
  madeOutAt: (at: string) => `so far made out at ${at}`,
  measured: 'True places; arrows enlarged',
  closer: 'Closer',
  farther: 'Farther',
  whole: 'Whole rod',
  item: (id: string, kind: string, at: string, signs?: string[] | false) =>
    `${shownName(id)}, ${kind}, planned at ${at}${signs ? `: ${signs.join(', ')}` : ''}`,
};
