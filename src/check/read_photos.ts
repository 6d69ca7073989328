import { holdPart } from '../photo/crop.ts';
import type { KeepHeld, Photo } from '../photo/photo.ts';
import { photoQuality } from '../photo/quality.ts';
import { readTags } from '../vision/tags.ts';
import { nothingRemembered, type Remembered } from './check_memory.ts';
import { laneBySquares } from './looked_at.ts';
import { type LoadPhoto, matTags, type TaggedView } from './tagged_views.ts';

/**
 * Decodes each photo and reads its tags, one after the other, the next being decoded meanwhile: of these two alone all
 * pixels are held, of the others the lane between their squares. What is remembered of a photo stands for reading it.
 */
export async function readPhotos(
  count: number,
  load: LoadPhoto,
  onPhoto: (index: number) => void | Promise<void>,
  { remembered = nothingRemembered, keep }: { remembered?: Remembered; keep?: KeepHeld } = {},
): Promise<TaggedView[]> {
  const tagged: TaggedView[] = [];
  let ahead: { of: number; photo: Promise<Photo> } | undefined;
  for (let i = 0; i < count; i++) {
    await onPhoto(i);
    const read = async () => {
      const photo = await (ahead?.of === i ? ahead.photo : load(i));
      const next = i + 1;
      ahead = next < count && !remembered.knows(next) ? { of: next, photo: begun(load(next)) } : undefined;
      return readPhoto(photo, keep);
    };
    tagged.push(await remembered.reading(i, read));
  }
  return tagged;
}

/** What goes wrong with a photo is told when it is waited for, not before. */
function begun(photo: Promise<Photo>): Promise<Photo> {
  photo.catch(() => {});
  return photo;
}

async function readPhoto(photo: Photo, keep: KeepHeld = (held) => held): Promise<TaggedView> {
  const reading = await readTags(photo);
  const faults = photoQuality(photo, reading.tags).problems.map(({ message }) => message);
  const lane = laneBySquares(matTags(reading), photo) ?? { left: 0, top: 0, width: 1, height: 1 };
  return { photo: keep(holdPart(photo, lane)), reading, faults };
}
