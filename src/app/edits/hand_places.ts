import type { Pixel } from '../../geometry/vector.ts';
import { guidesAreOn, type HandPlace, type Shoot } from '../../plan/shoot.ts';
import type { BuildDocument } from '../../store/build.ts';

/** Points by the name of their photo. */
export type HandPoints = Readonly<Record<string, readonly Pixel[]>>;

/** What the builder pointed out for one item. */
export const handPoints = (shoot: Pick<Shoot, 'byHand'>, id: string): HandPoints =>
  Object.fromEntries(
    (shoot.byHand ?? []).filter((place) => place.id === id).map(({ photo, points }) => [photo, points]),
  );

export const countPoints = (points: HandPoints): number =>
  Object.values(points).reduce((sum, some) => sum + some.length, 0);

/** Points an item needs before it can be measured by hand: a circle takes three, a mark one. */
export const leastPoints = (stage: Shoot['stage']): number => (guidesAreOn(stage) ? 3 : 1);

/** A document with these points for an item, in place of those it had; without points it is left to the detector. */
export function withHandPoints(document: BuildDocument, id: string, points: HandPoints): BuildDocument {
  const others = (document.shoot.byHand ?? []).filter((place) => place.id !== id);
  const own = Object.entries(points)
    .filter(([, some]) => some.length > 0)
    .map(([photo, some]): HandPlace => ({ id, photo, points: some.map(([x, y]) => [x, y]) }));
  return withPlaces(document, [...others, ...own]);
}

/**
 * A changed document without places set by hand that lost what they stand on: their photo was taken out, another round
 * began, or marks became rings.
 */
export function withoutLostPlaces(before: BuildDocument, after: BuildDocument): BuildDocument {
  const { byHand, photos, stage, id } = after.shoot;
  if (!byHand || before.shoot === after.shoot) return after;
  const names = new Set(photos.map((photo) => photo.name));
  const kept =
    stage === before.shoot.stage && id === before.shoot.id ? byHand.filter((place) => names.has(place.photo)) : [];
  return kept.length === byHand.length ? after : withPlaces(after, kept);
}

function withPlaces(document: BuildDocument, places: HandPlace[]): BuildDocument {
  const { byHand: _, ...shoot } = document.shoot;
  return { ...document, shoot: places.length > 0 ? { ...shoot, byHand: places } : shoot };
}
