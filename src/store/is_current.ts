import type { BuildDocument, KeptCheck } from './build.ts';
import { pieceInHand, planInHand } from './plan_in_hand.ts';

/** Whether a check still speaks of this plan and these photos. */
export const isCurrent = (check: KeptCheck, document: BuildDocument): boolean =>
  isOfSome(check, document) && Object.values(check.photoIds).length === document.shoot.photos.length;

/** Whether a check speaks of this plan and some of these photos, all else being as it is. */
export function isOfSome(check: KeptCheck, document: BuildDocument): boolean {
  const { id: _, photos, piece: __, ...shoot } = document.shoot;
  const { photos: ___, piece: checkedPiece, ...checked } = check.shoot;
  const there = new Set(photos.map(({ id }) => id));
  return (
    checkedPiece === pieceInHand(document) &&
    // the plan lends a bare blank a first guess of its size and no more
    (checked.stage === 'blank' || isSame(check.plan, planInHand(document))) &&
    isSame(checked, shoot) &&
    Object.values(check.photoIds).every((id) => there.has(id))
  );
}

/** Whether two plans or shoots say the same; lengths to a nanometre, as files keep them. */
export const isSame = (a: unknown, b: unknown): boolean => JSON.stringify(a, rounded) === JSON.stringify(b, rounded);

const rounded = (_key: string, value: unknown): unknown =>
  typeof value === 'number' ? Number(value.toFixed(6)) : value;
