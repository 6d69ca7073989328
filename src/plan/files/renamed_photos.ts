import type { Shoot } from '../shoot.ts';

/** A shoot on the photos among these alone, each under its new name; places set by hand go with their photos. */
export function renamedPhotos<S extends Omit<Shoot, 'photos'>>(
  shoot: S,
  photos: readonly { from: string; to: string }[],
): S & Pick<Shoot, 'photos'> {
  const names = new Map(photos.map(({ from, to }) => [from, to]));
  const { byHand, ...rest } = shoot;
  const kept = (byHand ?? []).flatMap((place) => {
    const photo = names.get(place.photo);
    return photo === undefined ? [] : [{ ...place, photo }];
  });
  return { ...rest, ...(kept.length > 0 && { byHand: kept }), photos: photos.map(({ to }) => to) } as S &
    Pick<Shoot, 'photos'>;
}
