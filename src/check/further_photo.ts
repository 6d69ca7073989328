import { axisSigmaAt } from '../adjust/blank_adjustment.ts';
import { type FurtherPhoto, furtherPhotos, isInPicture, type Stance } from '../adjust/further_photo.ts';
import { nearestPage } from '../adjust/mat_summary.ts';
import {
  type MatDoubt,
  type MatPlaces,
  placeDoubt,
  rayCrossing,
  type SeenPlace,
  type TipEnd,
  tipEnd,
  tipGradient,
} from '../adjust/propagation.ts';
import { commonLight } from '../adjust/ring_doubt.ts';
import { seatCardRoll } from '../adjust/seat_card.ts';
import { type Camera, cameraCentre } from '../geometry/camera.ts';
import { addScaled, norm, subtract, type Vector3 } from '../geometry/vector.ts';
import type { PhotoIndex } from '../photo/photo.ts';
import type { FurtherPhotoWanted, MeasuredPlace, OpenVerdict } from '../verdict/measured_shoot.ts';
import { degrees, type Measuring, outlineBias } from './measuring.ts';
import type { RollZero } from './roll_zero.ts';

const candidates = {
  /** over the paper, mm: from where phones focus well and both rows of squares show, to where a walk is taken from */
  heights: [300, 450, 600],
  /** a slant's shift of the camera, share of its height: 27 degrees */
  slant: 0.5,
  /** squares of either row that it must show, so that it can be placed and the app can follow it there */
  squares: 3,
  /** places nearer to each other than this are shown by the same photo, mm */
  apart: 60,
  /** places it may be taken over, the most doubtful first */
  places: 4,
  /** a photo is worth naming where it takes this share of some open doubt away */
  worth: 0.1,
  /** a harder photo must help by so much more than an easier one (natural logarithm of doubts) */
  easier: 0.05,
} as const;

/**
 * A photo that may be asked for: its stances are told apart by no one (either side of the rod), so the worse counts.
 */
interface Candidate extends Pick<FurtherPhotoWanted, 'over' | 'from' | 'height'> {
  target: Vector3;
  stances: Stance[];
}

/**
 * Which single further photo shrinks the doubt most that keeps verdicts open: over which place, how high, from which
 * side. Each is predicted from the covariance of the check, nothing being solved anew. Undefined where none helps by a
 * tenth.
 */
export function furtherPhotoFor(
  places: readonly MeasuredPlace[],
  zero: RollZero,
  measuring: Measuring,
): (open: readonly OpenVerdict[]) => FurtherPhotoWanted | undefined {
  return (open) => {
    const asked = open.filter(({ place }) => places[place]?.reading);
    if (asked.length === 0) return undefined;
    const now = stateNow(places, zero, measuring);
    let best: { candidate: Candidate; expected: number[]; score: number } | undefined;
    for (const overOne of candidatesFor(asked, places, zero, measuring)) {
      const stances = overOne.flatMap((candidate) => candidate.stances);
      const photos = furtherPhotos(measuring.mat, now.like, stances, candidates.squares);
      for (const candidate of overOne) {
        const own = candidate.stances.map((stance) => photos[stances.indexOf(stance)]);
        // Where even perfect cameras would not make it the best, it need not be worked out.
        const hoped = expectedWith(own, open, places, now, atBest);
        if (!hoped || (best && scoreOf(open, hoped) <= best.score + candidates.easier)) continue;
        const expected = expectedWith(own, open, places, now, withPhoto)!;
        const score = scoreOf(open, expected);
        if (!best || score > best.score + candidates.easier) best = { candidate, expected, score };
      }
    }
    if (!best || !open.some(({ u }, i) => best.expected[i]! < (1 - candidates.worth) * u)) return undefined;
    const { over, from, height, target, stances } = best.candidate;
    const { tile, u } = nearestPage(measuring.mat, target[0], target[1]);
    const { eye } = stances[0]!;
    const [dx, dy] = [eye[0] - target[0], eye[1] - target[1]];
    const stand = {
      along: dx * Math.cos(tile.yaw) + dy * Math.sin(tile.yaw),
      across: Math.abs(-dx * Math.sin(tile.yaw) + dy * Math.cos(tile.yaw)),
    };
    return { over, from, height, aim: { tile: tile.tile, u }, stand, expected: best.expected };
  };
}

/** A verdict that would be settled counts as much as doubts that fall to a third. */
function scoreOf(open: readonly OpenVerdict[], expected: readonly number[]): number {
  return open.reduce((sum, { u, needed }, i) => sum + Math.log(u / expected[i]!) + (expected[i]! <= needed ? 1 : 0), 0);
}

/** What may be asked for, by what it is taken over. */
function candidatesFor(
  open: readonly OpenVerdict[],
  places: readonly MeasuredPlace[],
  zero: RollZero,
  { blank, mat }: Measuring,
): Candidate[][] {
  const tip = tipEnd(blank);
  const targets: { over: Candidate['over']; point: Vector3 }[] = [];
  const add = (over: Candidate['over'], point: Vector3) => {
    if (targets.every((other) => norm(subtract(other.point, point)) > candidates.apart)) targets.push({ over, point });
  };
  const worstFirst = open.toSorted((a, b) => b.u / b.needed - a.u / a.needed);
  for (const { place } of worstFirst.slice(0, candidates.places)) add({ place }, places[place]!.reading!.seen.point);
  if (open.some(({ on }) => on === 'along') && tip.photos.length > 0) add('tip', tip.point);
  if (open.some(({ on }) => on === 'roll') && zero.reference === 'seat-card' && mat.card)
    add('seat-card', mat.card.centre);
  const along = tip.along;
  const across: Vector3 = [-along[1], along[0], 0];
  return targets.map(({ over, point }) =>
    (['above', 'side', 'tip', 'butt'] as const).flatMap((from) =>
      candidates.heights.toReversed().map((height): Candidate => {
        const eyeAt = (direction: Vector3, shift: number): Stance => ({
          eye: addScaled([point[0], point[1], height], direction, shift),
          target: point,
        });
        const shift = candidates.slant * height;
        const stances = {
          above: [eyeAt(along, 0)],
          side: [eyeAt(across, shift), eyeAt(across, -shift)],
          tip: [eyeAt(along, -shift)],
          butt: [eyeAt(along, shift)],
        }[from];
        return { over, from, height, target: point, stances };
      }),
    ),
  );
}

/** What all candidates are held against. */
interface Now {
  measuring: Measuring;
  zero: RollZero;
  /** the last photo that was placed: the next one is taken with its lens, held as it was */
  like: PhotoIndex;
  /** of each place, as its rays alone tell it: along and across, mm */
  crossings: ({ along: number; across: number } | undefined)[];
}

function stateNow(places: readonly MeasuredPlace[], zero: RollZero, measuring: Measuring): Now {
  const { mat, views } = measuring;
  const crossings = places.map(({ reading }) => reading && crossingsOf(mat, reading.seen, reading.ring?.right));
  return { measuring, zero, like: views.photo.at(-1)!, crossings };
}

const crossingsOf = (mat: MatPlaces, seen: SeenPlace, right: Vector3 | undefined) => ({
  along: rayCrossing(mat, seen),
  across: right ? rayCrossing(mat, { ...seen, along: right }) : 0,
});

/** The open verdicts' standard uncertainties with a photo; undefined where it would show too few squares. */
function expectedWith(
  photos: readonly (FurtherPhoto | undefined)[],
  open: readonly OpenVerdict[],
  places: readonly MeasuredPlace[],
  now: Now,
  foresee: (photo: FurtherPhoto, now: Now) => WithPhoto,
): number[] | undefined {
  const each = photos.map((photo) => {
    if (!photo) return undefined;
    const seen = foresee(photo, now);
    return open.map((verdict) => {
      const place = places[verdict.place]!;
      const crossing = now.crossings[verdict.place];
      return place.reading && crossing ? expectedOf(verdict, place, crossing, seen) : verdict.u;
    });
  });
  if (each.length === 0 || each.some((expected) => !expected)) return undefined;
  return open.map((_, i) => Math.max(...each.map((expected) => expected![i]!)));
}

/** The check as it would stand with the photo. */
interface WithPhoto {
  photo: FurtherPhoto;
  /** what cameras, lens and pages leave in doubt of a place along the blank, mm */
  geometry: (seen: SeenPlace) => number;
  tip: number;
  /** of the roll that rolls are counted from, degrees */
  zero: number;
  now: Now;
}

const showsTip = (photo: FurtherPhoto, end: TipEnd): boolean => end.photos.length > 0 && isInPicture(photo, end.point);

/** The least doubt that the photo could leave: cameras, lens and pages known without any. */
function atBest(photo: FurtherPhoto, now: Now): WithPhoto {
  const { blank } = now.measuring;
  const end = tipEnd(blank);
  const looks = end.photos.length;
  return {
    photo,
    geometry: () => 0,
    tip: blank.tipSigma * (showsTip(photo, end) ? Math.sqrt(looks / (looks + 1)) : 1),
    zero: countsFromCard(now) ? 0 : (now.zero.roll?.u ?? 0),
    now,
  };
}

const countsFromCard = ({ zero }: Now): boolean => zero.reference === 'seat-card' && zero.roll !== undefined;

function withPhoto(photo: FurtherPhoto, now: Now): WithPhoto {
  const { mat, blank } = now.measuring;
  const end = tipEnd(blank);
  const doubt: MatDoubt = {
    covariance: photo.covariance,
    tipByParameter: tipWith(photo, end, now.measuring),
  };
  const card = countsFromCard(now)
    ? seatCardRoll({ ...mat, index: photo.mat.index }, blank, blank.axis, doubt)
    : undefined;
  const zero = now.zero.roll?.u ?? 0;
  return {
    ...atBest(photo, now),
    geometry: (seen) => placeDoubt(photo.mat, doubt, seen).geometry,
    zero: Math.min(zero, card?.roll.u ?? zero),
  };
}

/** How the tip moves with cameras and mat: by the blank's fit, to which the photo adds one more look where it shows. */
function tipWith(photo: FurtherPhoto, end: TipEnd, { blankBy }: Measuring): Float64Array {
  const shows = showsTip(photo, end);
  if (!blankBy?.tip) return tipGradient(photo.mat, shows ? { ...end, photos: [...end.photos, photo.photo] } : end);
  const share = shows ? 1 / (end.photos.length + 1) : 0;
  const gradient = shows
    ? tipGradient(photo.mat, { ...end, photos: [photo.photo] }).map((by) => share * by)
    : new Float64Array(photo.mat.values.length);
  for (const [i, by] of blankBy.tip.entries()) gradient[i]! += (1 - share) * by;
  return gradient;
}

function expectedOf(
  { on, u }: OpenVerdict,
  { along, apart, roll, parts, reading }: MeasuredPlace,
  crossing: { along: number; across: number },
  { photo, geometry, tip, zero, now }: WithPhoto,
): number {
  const { mat, blank } = now.measuring;
  const { seen, own, ring } = reading!;
  const shown = isInPicture(photo, seen.point);
  const seenThen = shown ? { ...seen, photos: [...seen.photos, photo.photo] } : seen;
  // the cameras that show it now stay as they are
  const then = shown ? crossingsOf(photo.mat, seenThen, ring?.right) : crossing;
  const cameras = seen.photos.map((index) => mat.cameras[index]!);
  const light = lightOf(cameras, seen.point);
  const lightThen = shown ? lightOf([...cameras, photo.camera], seen.point) : light;
  // What was read in the photos at hand falls as the crossing of rays does; what the light does to all of them stays.
  const read = (value: number, kind: 'along' | 'across') => {
    const common = ring ? Math.min(light[kind], value) : 0;
    const falling = Math.sqrt(value ** 2 - common ** 2) * (then[kind] / crossing[kind]);
    return Math.hypot(falling, ring ? Math.min(lightThen[kind], value) : 0);
  };
  // All that the photo does not touch stays in the doubt. A roll counted from the rings' own line may be surer than by
  // itself, for the ring is part of that line: then its doubt falls with the ring's.
  const less = (before: number, after: number) => {
    const share = before > 0 ? Math.min(after / before, 1) : 1;
    return Math.sqrt(Math.max(u ** 2 - before ** 2 * (1 - share ** 2), (u * share) ** 2));
  };
  if (on === 'along') {
    if (!parts || apart === undefined) return u;
    const slide = Math.sqrt(Math.max(parts.reading ** 2 - Math.max(own, crossing.along) ** 2, 0));
    return less(apart, Math.hypot(geometry(seenThen), Math.max(read(own, 'along'), then.along), slide, tip));
  }
  if (!ring || !roll) return u;
  const axis = axisSigmaAt(blank, along.value).side;
  const sideways = Math.hypot(read(ring.own, 'across'), axis, ring.byCameras, outlineBias);
  return less(roll.u, Math.hypot(degrees(sideways / ring.lever), zero));
}

function lightOf(cameras: readonly Camera[], point: Vector3): { along: number; across: number } {
  const pxPerMm = cameras.map((camera) => camera.intrinsics.focal / norm(subtract(cameraCentre(camera), point)));
  return commonLight(pxPerMm.reduce((sum, one) => sum + one, 0) / pxPerMm.length, cameras.length);
}
