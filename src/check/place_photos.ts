import type { MatSolution } from '../adjust/mat_summary.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { KnownBefore } from './known_before.ts';
import { holdingLane } from './held_photos.ts';
import { refuseUnlessPlaced, refuseWithoutTags } from './refusals.ts';
import { placeDistinct } from './repeated_photos.ts';
import { type LoadPhoto, readPhotos, type TaggedView } from './tagged_views.ts';

export interface Progress {
  stage: string;
  /** 0 to 1 */
  done: number;
}

/**
 * The first half of every check: each photo read once for its squares, and where each camera stood over the mat. Throws
 * InputError, one sentence, when the photos do not tell.
 */
export async function placePhotos(
  shoot: Pick<Shoot, 'photos' | 'mat' | 'byHand'> & Partial<Pick<Shoot, 'rest'>>,
  load: LoadPhoto,
  onProgress: (progress: Progress) => void,
  known: KnownBefore = {},
): Promise<{ tagged: TaggedView[]; mat: MatSolution }> {
  const read = await readPhotos(shoot.photos.length, load, (i) =>
    onProgress({ stage: `Reading photo ${i + 1} of ${shoot.photos.length}`, done: (0.5 * i) / shoot.photos.length }),
  );
  await refuseWithoutTags(read, load);

  onProgress({ stage: 'Working out where the camera stood', done: 0.5 });
  const { tagged, mat } = placeDistinct(read, shoot, known);
  refuseUnlessPlaced(tagged, mat);
  // Pages photographed by themselves have nothing lying on them to be looked at.
  return { tagged: shoot.rest ? await holdingLane(tagged, mat, shoot.rest, load) : tagged, mat };
}
