import type { LensProfile } from '../adjust/lens_profile.ts';
import { turnedLens } from '../adjust/lens_profile.ts';
import type { MatProfile } from '../adjust/mat_profile.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { tileNumber } from '../mat/tile.ts';
import { heldCamera } from '../photo/camera_facts.ts';
import type { HoldParts, KeepHeld, Photo } from '../photo/photo.ts';
import type { ReportProfile } from '../verdict/report.ts';
import type { Remembered } from './check_memory.ts';

/** What photos taken before told and is kept, and how these are held meanwhile. */
export interface KnownBefore {
  /** one a camera; each photo takes its own camera's */
  lenses?: readonly LensProfile[];
  /** the mat the rod lies on, solved before */
  mat?: MatProfile;
  /** what checks of some of these very photos left: it saves time and changes nothing */
  remembered?: Remembered;
  /** keeps what is held of each photo; in memory when absent */
  keep?: KeepHeld;
  /** keeps what is read across the lane in each photo; in memory when absent */
  hold?: HoldParts;
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

/**
 * What the report says of kept lenses and mat: which joined in, and a sentence for each that the photos contradict and
 * for each page that moved.
 */
export function profilesUsed({ lenses, unfitLenses, keptMat }: MatSolution): {
  profiles: ReportProfile[];
  notes: string[];
} {
  const once = (found: readonly LensProfile[]) => [...new Set(found.map(({ name }) => name))];
  const unfit = once(unfitLenses);
  return {
    profiles: [
      ...once(lenses).map((name): ReportProfile => ({ kind: 'lens', name, used: true })),
      ...unfit.map((name): ReportProfile => ({ kind: 'lens', name, used: false })),
      ...(keptMat ? [{ kind: 'mat' as const, name: keptMat.profile.name, used: keptMat.pages.length > 0 }] : []),
    ],
    notes: [
      ...(keptMat ? matNotes(keptMat) : []),
      ...unfit.map(
        (name) =>
          `The kept lens “${name}” does not fit these photos by more than both can be in doubt, so it was not used: make it again with this very camera, without anything in front of its lens.`,
      ),
    ],
  };
}

function matNotes({ profile: { name }, pages, moved, fromThese }: NonNullable<MatSolution['keptMat']>): string[] {
  if (fromThese)
    return [
      `The kept mat “${name}” was made from these very photos, and counting them twice would feign certainty, so it was not used here.`,
    ];
  if (pages.length === 0)
    return [
      `The kept mat “${name}” was not used: its pages do not lie in these photos as they lay then. If it was taped anew, keep it anew.`,
    ];
  return moved.map(
    ({ tile, byMm }) =>
      `Page ${tileNumber(tile)} lies ${byMm.toFixed(1)} mm from where the kept mat “${name}” has it, so its place was taken from the photos alone: tape it down, and keep the mat anew.`,
  );
}
