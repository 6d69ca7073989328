import type { PlaceShown } from './measured_shoot.ts';
import type { Sighting } from './report.ts';

/**
 * One photo may hide a thing behind a glare or a finger: bare blank must show in two before nothing is said to be
 * there.
 */
const bareInPhotos = 2;

/** What is said of a planned place at which nothing was found. */
export function sightingOfLost(shown: PlaceShown | undefined): Exclude<Sighting, 'found'> {
  if (!shown || shown.photos.length === 0) return 'in-no-photo';
  return shown.bare.length >= bareInPhotos ? 'not-there' : 'not-made-out';
}

/** What is said of a report's item; a report from before there were four answers knew three. */
export const sightingOf = (item: { found: boolean; sighting?: Sighting; alongVerdict: string }): Sighting =>
  item.sighting ?? (item.found ? 'found' : item.alongVerdict === 'missing' ? 'not-there' : 'in-no-photo');

/**
 * Most planned places show and are not made out: what is found there may well be something else, the blank's shadow
 * taken for it or a rod of another plan.
 */
export const isMostlyUnclear = (items: readonly { found: boolean; sighting?: Sighting; alongVerdict: string }[]) =>
  items.filter((item) => sightingOf(item) === 'not-made-out').length > items.length / 2;
