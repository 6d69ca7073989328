import type { MatSolution } from '../adjust/mat_summary.ts';
import { tagPlace } from '../mat/tile.ts';
import type { Photo, PerPhoto, PhotoIndex } from '../photo/photo.ts';
import type { ReportPhoto } from '../verdict/report.ts';
import type { View, PerView } from '../vision/strip.ts';
import type { TagReading } from '../vision/tags.ts';

/** A photo with the tags read in it: of its pixels no more is held than the measuring looks at. */
export interface TaggedView {
  photo: Photo;
  reading: TagReading;
  /** what is wrong with it as a picture: a sentence each */
  faults: readonly string[];
  /** set where the photo shows nothing that this other one does not: it is left out of the measuring */
  repeats?: { file: string; how: 'copy' | 'same-place' };
}

/** The views that the adjustment placed, and which photo each is. */
export interface PlacedViews {
  list: PerView<View>;
  photo: PerView<PhotoIndex>;
}

/** Hands over the photo at this place of `shoot.photos`, decoded. */
export type LoadPhoto = (index: PhotoIndex) => Promise<Photo>;

export function placedViews(tagged: PerPhoto<TaggedView>, mat: MatSolution): PlacedViews {
  const list: View[] = [];
  const photo: PhotoIndex[] = [];
  tagged.forEach((view, i) => {
    const camera = mat.cameras[i];
    if (!camera) return;
    list.push({ photo: view.photo, camera });
    photo.push(i);
  });
  return { list, photo };
}

/** The tags of the mat's own family and numbers. */
export const matTags = (reading: Pick<TagReading, 'tags'>) =>
  reading.tags.filter((tag) => tagPlace(tag.id) !== undefined);

/** Sentences on one photo: what is wrong with it and what to do. */
function photoProblems({ reading, faults, repeats }: TaggedView, placed: boolean): string[] {
  if (repeats) return [repeats.how === 'copy' ? isCopyOf(repeats.file) : isFromThePlaceOf(repeats.file)];
  const problems: string[] = [];
  const own = matTags(reading).length;
  if (own === 0)
    problems.push('No mat tags were read in this photo, so it was not used: keep both rows of squares in view.');
  else if (!placed)
    problems.push(
      'This photo shows no page that another photo shows well too, so it was not used: let neighbouring photos overlap by a page.',
    );
  if (reading.twice.length > 0)
    problems.push(
      `Tag ${reading.twice.join(', ')} shows at two places: is the same page printed twice, or a second mat in view? Those tags were left out.`,
    );
  if (reading.foreign.length > 0)
    problems.push(`Tag ${reading.foreign.join(', ')} belongs to no page of the mat and was left out.`);
  return [...problems, ...faults];
}

const isCopyOf = (file: string): string =>
  `This is the same picture as ${file}, so the two were counted once: photos from other places make the check surer.`;
const isFromThePlaceOf = (file: string): string =>
  `This photo was taken from the same place as ${file}, so it shows nothing new and the two were counted once: take a step along the rod between photos.`;

/** What the report says of each photo. */
export function reportPhotos(tagged: PerPhoto<TaggedView>, mat: MatSolution): ReportPhoto[] {
  return tagged.map((view, i) => ({
    file: view.photo.file,
    tags: view.reading.tags.length,
    residual: mat.residuals[i] ?? 0,
    problems: photoProblems(view, mat.cameras[i] !== undefined),
  }));
}
