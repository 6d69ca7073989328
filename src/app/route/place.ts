/** The steps of a build, in the order they are taken. */
export const steps = ['plan', 'mat', 'photos', 'check', 'record'] as const;
export type Step = (typeof steps)[number];

/** Where the builder is in the app; kept in the URL's hash so that a reload comes back to it. */
export type Place = { screen: 'builds' } | { screen: 'build'; id: string; step: Step; item?: string };

export function placeOf(hash: string): Place {
  const [, screen, id, step, item] = hash.replace(/^#/, '').split('/').map(decode);
  if (screen !== 'build' || !id) return { screen: 'builds' };
  const known = steps.find((name) => name === step) ?? 'plan';
  return { screen: 'build', id, step: known, ...(item ? { item } : {}) };
}

export function hashOf(place: Place): string {
  if (place.screen === 'builds') return '#/';
  const parts = ['build', place.id, place.step, ...(place.item === undefined ? [] : [place.item])];
  return `#/${parts.map(encodeURIComponent).join('/')}`;
}

function decode(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}
