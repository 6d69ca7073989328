import { holdPart } from '../photo/crop.ts';
import type { KeepHeld, Photo } from '../photo/photo.ts';
import { photoQuality } from '../photo/quality.ts';
import { readTags } from '../vision/tags.ts';
import { nothingRemembered, type Remembered } from './check_memory.ts';
import { laneBySquares } from './looked_at.ts';
import { type LoadPhoto, matTags, type TaggedView } from './tagged_views.ts';

/**
 * Decodes each photo and reads its tags, one after the other: of one alone all pixels are held, of the others the lane
 * between their squares. What is remembered of a photo stands for reading it.
 */
export async function readPhotos(
  count: number,
  load: LoadPhoto,
  onPhoto: (index: number) => void | Promise<void>,
  { remembered = nothingRemembered, keep }: { remembered?: Remembered; keep?: KeepHeld } = {},
): Promise<TaggedView[]> {
  const tagged: TaggedView[] = [];
  for (let i = 0; i < count; i++) {
    await onPhoto(i);
    tagged.push(await remembered.reading(i, async () => readPhoto(await load(i), keep)));
  }
  return tagged;
}

async function readPhoto(photo: Photo, keep: KeepHeld = (held) => held): Promise<TaggedView> {
  const reading = await readTags(photo);
  const faults = photoQuality(photo, reading.tags).problems.map(({ message }) => message);
  const lane = laneBySquares(matTags(reading), photo) ?? { left: 0, top: 0, width: 1, height: 1 };
  return { photo: keep(holdPart(photo, lane)), reading, faults };
}
