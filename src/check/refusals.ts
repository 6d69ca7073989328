import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import type { MatDoubt } from '../adjust/propagation.ts';
import { tileNumber } from '../mat/tile.ts';
import { InputError } from '../plan/input_error.ts';
import { explainNoTags } from '../vision/tags.ts';
import { type LoadPhoto, matTags, type TaggedView } from './tagged_views.ts';
import type { PerPhoto } from '../photo/photo.ts';
import { shownName } from '../plan/shown_name.ts';

/** Throws InputError where nothing can be measured: no photo shows tags of the mat. Says the likeliest reason. */
export async function refuseWithoutTags(tagged: PerPhoto<TaggedView>, load: LoadPhoto): Promise<void> {
  if (tagged.some(({ reading }) => matTags(reading).length >= 2)) return;
  const first = tagged[0];
  if (!first) throw new InputError('The shoot names no photos: add at least one photo of the rod on the mat.');
  const double = tagged.find(({ reading }) => reading.twice.length > 0);
  if (double)
    throw new InputError(
      `${shownName(double.photo.file)} shows the same page of the mat twice (tag ${double.reading.twice[0]} at two places): keep one mat in view, each page once, and shoot again.`,
    );
  const { file } = first.photo;
  const reason = await explainNoTags(await load(0));
  if (reason === 'mirrored')
    throw new InputError(
      `${shownName(file)} is mirrored, left for right: turn mirroring off in the camera, or save the photo as it was taken.`,
    );
  if (reason === 'other-family')
    throw new InputError(
      `${shownName(file)} shows tags of another family than the mat's: print the mat from this app and shoot over it.`,
    );
  throw new InputError(
    `${shownName(file)} shows none of the mat's tags: lay the rod on the printed mat, with both rows of squares in view, sharp and evenly lit.`,
  );
}

/** Throws InputError where no camera could be placed, or the pages lie nowhere that all photos agree on. */
export function refuseUnlessPlaced(
  tagged: PerPhoto<TaggedView>,
  mat: MatSolution | undefined,
): asserts mat is MatSolution {
  if (!mat)
    throw new InputError(
      'No photo shows two tags of one page: step back until whole squares are in view, and shoot again.',
    );
  refuseIfPagesMoved(tagged, mat);
  const worst = mat.residuals.reduce((w, r, i) => (r > (mat.residuals[w] ?? 0) ? i : w), 0);
  if (mat.levels.corner > fitsNoMat)
    throw new InputError(
      `The photos contradict each other about where the pages lie, ${shownName(tagged[worst]!.photo.file)} by ${mat.residuals[worst]!.toFixed(0)} pixels, more than waves in the paper and any lens explain: check that nothing moved between them, and take the walk again.`,
    );
}

/** Corners read no better than this fit no one mat, whatever its paper and lens; pixels. */
const fitsNoMat = 2;

/** Throws InputError when a page lay differently in one photo than in the others. */
function refuseIfPagesMoved(tagged: PerPhoto<TaggedView>, mat: MatSolution): void {
  const { moved } = mat;
  if (moved)
    throw new InputError(
      `In ${shownName(tagged[moved.photo]!.photo.file)} page ${tileNumber(moved.tile)} lies about ${moved.byMm.toFixed(1)} mm from where the other photos have it: something moved between the photos; tape the pages down and take the walk again.`,
    );
}

/** Throws InputError when the rod lay elsewhere across the mat in one photo than in the others. */
export function refuseIfRodMoved(tagged: PerPhoto<TaggedView>, blank: BlankSolution): void {
  const worst = blank.misses.reduce((best, miss, i) => (Math.abs(miss) > Math.abs(blank.misses[best]!) ? i : best), 0);
  const miss = Math.abs(blank.misses[worst] ?? 0);
  if (miss > movedRod)
    throw new InputError(
      `In ${shownName(tagged[worst]!.photo.file)} the blank lies about ${miss.toFixed(1)} mm from where the other photos have it: the rod moved between the photos; take the walk again without touching it.`,
    );
}

/** Throws InputError where photos show pages that nothing ties together, so that the doubt of places has no bound. */
export function refuseIfUntied(doubt: MatDoubt | undefined): asserts doubt is MatDoubt {
  if (!doubt)
    throw new InputError(
      'The photos do not tie the pages together: take one more photo that shows two neighbouring pages at once.',
    );
}

/** A blank this far from the common axis in the middle of a photo has moved, mm: outlines agree to a tenth of that. */
const movedRod = 0.7;
