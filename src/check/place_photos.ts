import type { MatSolution } from '../adjust/mat_summary.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { KnownBefore } from './known_before.ts';
import { holdingLane } from './held_photos.ts';
import { refuseUnlessPlaced, refuseWithoutTags } from './refusals.ts';
import { placeDistinct } from './repeated_photos.ts';
import { readPhotos } from './read_photos.ts';
import type { LoadPhoto, TaggedView } from './tagged_views.ts';

export interface Progress {
  stage: string;
  /** 0 to 1 */
  done: number;
}

/** Takes what is told on the way; waited for, so that whoever listens can have a turn, or end it by throwing. */
export type TellProgress = (progress: Progress) => void | Promise<void>;

/** Shares of the whole at which its stages begin, about as a walk takes them; reading comes before. */
export const begins = { blank: 0.55, looking: 0.65, rings: 0.8, doubt: 0.9 } as const;

/**
 * The first half of every check: each photo read once for its squares, and where each camera stood over the mat. Throws
 * InputError, one sentence, when the photos do not tell.
 */
export async function placePhotos(
  shoot: Pick<Shoot, 'photos' | 'mat' | 'byHand'> & Partial<Pick<Shoot, 'rest'>>,
  load: LoadPhoto,
  onProgress: TellProgress,
  known: KnownBefore = {},
): Promise<{ tagged: TaggedView[]; mat: MatSolution }> {
  const count = shoot.photos.length;
  const read = await readPhotos(
    count,
    load,
    (i) => onProgress({ stage: `Reading photo ${i + 1} of ${count}`, done: (0.5 * i) / count }),
    known,
  );
  await refuseWithoutTags(read, load);

  await onProgress({ stage: 'Working out where the camera stood', done: 0.5 });
  const { tagged, mat } = placeDistinct(read, shoot, known);
  refuseUnlessPlaced(tagged, mat);
  // Pages photographed by themselves have nothing lying on them to be looked at.
  return { tagged: shoot.rest ? await holdingLane(tagged, mat, shoot.rest, load, known.keep) : tagged, mat };
}
