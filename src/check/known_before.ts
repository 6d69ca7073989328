import type { LensProfile } from '../adjust/lens_profile.ts';
import { turnedLens } from '../adjust/lens_profile.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { heldCamera } from '../photo/camera_facts.ts';
import type { Photo } from '../photo/photo.ts';
import type { ReportProfile } from '../verdict/report.ts';

/** What photos taken before told and is kept. */
export interface KnownBefore {
  /** one a camera; each photo takes its own camera's */
  lenses?: readonly LensProfile[];
}

/** The kept lens of the camera that took a photo, turned as the photo is; undefined where none is kept. */
export function lensOf(
  { cameraKey, width, height }: Pick<Photo, 'cameraKey' | 'width' | 'height'>,
  lenses: readonly LensProfile[] = [],
): LensProfile | undefined {
  const held = cameraKey === undefined ? undefined : heldCamera(cameraKey);
  const kept = held && lenses.find(({ camera }) => camera === held.camera);
  const turned = kept && turnedLens(kept, held.turns);
  return turned && turned.grid.width === width && turned.grid.height === height ? turned : undefined;
}

/** What the report says of kept lenses: which joined in, and a sentence for each that the photos contradict. */
export function profilesUsed({ lenses, unfitLenses }: MatSolution): { profiles: ReportProfile[]; notes: string[] } {
  const once = (found: readonly LensProfile[]) => [...new Set(found.map(({ name }) => name))];
  const unfit = once(unfitLenses);
  return {
    profiles: [
      ...once(lenses).map((name): ReportProfile => ({ kind: 'lens', name, used: true })),
      ...unfit.map((name): ReportProfile => ({ kind: 'lens', name, used: false })),
    ],
    notes: unfit.map(
      (name) =>
        `The kept lens “${name}” does not fit these photos by more than both can be in doubt, so it was not used: make it again with this very camera, without anything in front of its lens.`,
    ),
  };
}
