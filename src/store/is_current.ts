import type { BuildDocument, KeptCheck } from './build.ts';

/** Whether a check still speaks of this plan and these photos. */
export function isCurrent(check: KeptCheck, document: BuildDocument): boolean {
  const { id: _, photos, ...shoot } = document.shoot;
  const { photos: __, ...checked } = check.shoot;
  const asked = new Set(Object.values(check.photoIds));
  return (
    JSON.stringify(check.plan) === JSON.stringify(document.plan) &&
    JSON.stringify(checked) === JSON.stringify(shoot) &&
    asked.size === photos.length &&
    photos.every((photo) => asked.has(photo.id))
  );
}
