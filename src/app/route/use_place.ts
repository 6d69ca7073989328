import { useSyncExternalStore } from 'react';
import { hashOf, type Place, placeOf } from './place.ts';

const listen = (changed: () => void) => {
  window.addEventListener('hashchange', changed);
  return () => window.removeEventListener('hashchange', changed);
};

/** The place the URL's hash names. */
export const usePlace = (): Place => placeOf(useSyncExternalStore(listen, () => window.location.hash));

export const goTo = (place: Place): void => {
  window.location.hash = hashOf(place);
};
