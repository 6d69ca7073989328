import type { Step } from '../route/place.ts';

/** The app’s name, its steps, and what every screen says. */
export const appWords = {
  name: 'Prewrap',
  motto: 'Check the rod before the thread goes on.',
  steps: { plan: 'Plan', mat: 'Mat', photos: 'Photos', check: 'Check', record: 'Record' } satisfies Record<
    Step,
    string
  >,
  skip: 'Skip to the page',
  loading: 'Opening…',
  close: 'Close',
};
