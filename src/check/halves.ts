import { compareHalves, type Half, type HalvesDiffer, halvesOf } from '../adjust/mat_halves.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { MeasuredPlace } from '../verdict/measured_shoot.ts';
import type { ReportHalves } from '../verdict/report.ts';
import type { PerPhoto } from '../photo/photo.ts';
import type { KnownBefore } from './known_before.ts';
import type { Begun, Hands } from './hands.ts';
import { beginAdjusting, taggedPhotos } from './repeated_photos.ts';
import type { TaggedView } from './tagged_views.ts';

/**
 * Two halves differ by more than their doubt where the root mean square over it exceeds this: places hang together, so
 * that a dozen of them are worth some three degrees of freedom, and chance alone exceeds it once in forty walks.
 */
const beyondDoubt = 1.8;

/** Begins to solve the two halves of a walk, each by itself; undefined comes of one that has none. */
export function beginHalves(
  tagged: PerPhoto<TaggedView>,
  mat: MatSolution,
  { shoot, known }: { shoot: Shoot; known: KnownBefore },
  hands: Hands,
): Begun<readonly [Half, Half] | undefined> {
  const photos = taggedPhotos(tagged, known);
  const halves = halvesOf(photos, mat);
  if (!halves) return async () => undefined;
  const [first, second] = halves.map((own) => {
    const begun = beginAdjusting(
      own.map((photo) => photos[photo]!),
      shoot.mat,
      known,
      hands,
    );
    return async () => ({ photos: own, half: await begun() });
  });
  return async () => [await first!(), await second!()];
}

/**
 * A walk of four or more photos held against its two halves: where they differ by more than their doubt allows, the
 * doubt of each place from cameras and pages grows to fit, and that is said.
 */
export function heldAgainstHalves(
  places: readonly MeasuredPlace[],
  mat: MatSolution,
  solved: readonly [Half, Half] | undefined,
): { places: MeasuredPlace[]; halves?: ReportHalves; notes: string[] } {
  const seen = places.flatMap(({ reading }) => reading?.seen ?? []);
  const differ = solved && compareHalves(mat, solved, seen);
  if (!differ) return { places: [...places], notes: [] };
  const by = differ.pull > beyondDoubt ? differ.pull : 1;
  const halves = { apart: differ.apart, ...(by > 1 && { widened: by }) };
  return { places: by > 1 ? places.map((place) => widened(place, by)) : [...places], halves, notes: notesOf(differ) };
}

const notesOf = ({ pull, apart }: HalvesDiffer): string[] =>
  pull > beyondDoubt
    ? [
        `Worked out once from every other photo and once from the rest, places of this walk lie up to ${apart.toFixed(2)} mm apart, more than their doubt allowed, so the doubt along was widened to fit: tape the mat down smooth, and let the photos overlap by a page and more.`,
      ]
    : [];

/** A place whose doubt from cameras and pages is so many times as large. */
function widened(place: MeasuredPlace, by: number): MeasuredPlace {
  const { parts, along } = place;
  if (!parts) return place;
  const geometry = by * parts.geometry;
  const apart = Math.hypot(geometry, parts.reading, parts.tip);
  return {
    ...place,
    parts: { ...parts, geometry },
    apart,
    along: { ...along, u: Math.hypot(parts.scale, apart) },
  };
}
