import { axisSigmaAt, type BlankSolution } from '../adjust/blank_adjustment.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { axisPoint, blankRadius, crossSection } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre, project } from '../geometry/camera.ts';
import { add, norm, scale, subtract } from '../geometry/vector.ts';
import { isInPhoto, noBorder } from '../geometry/in_photo.ts';
import type { Guide } from '../plan/plan.ts';
import type { PlaceShown } from '../verdict/measured_shoot.ts';
import { isBareOfGuide, isBareOfMark, isCovered } from '../vision/finder/bare_blank.ts';
import type { StripBox } from '../vision/finder/strip_cells.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';
import { stripPlace } from '../vision/finder/strip_place.ts';
import type { PlacedViews, TaggedView } from './tagged_views.ts';
import type { PerPhoto, Photo } from '../photo/photo.ts';

/**
 * A planned place on the blank as it lies on the mat: mm from its tip-side end; with a guide where one is to be there.
 */
export interface PlaceToLookAt {
  id: string;
  at: number;
  guide?: Guide;
}

/** What is looked at round a planned place before it is called bare. */
const room = {
  /** feet and frame reach this far from a ring along the blank, mm, besides its own radius */
  foot: 12,
  /** a guide may be rolled by this much and still show in the box, sine of the angle */
  roll: 0.5,
  /** a mark lies within this of its place or is another's, mm */
  mark: 4,
  /** where this share of the marks that were found looks bare too, a mark's absence says nothing: they hardly show */
  foundBare: 0.25,
  /** the blank must be known to lie where it is looked at to this share of its radius (standard deviation) */
  known: 0.5,
  /** what lies over a place hides it so far to either side along the blank, and across it beside the blank, mm */
  covered: { along: 4, beside: 3 },
  /** the blank can be told bare this far inside the stretch that a photo shows of it, mm */
  margin: 3,
  /** a photo shows a place when so much of the blank to either side of it is in its frame, mm */
  beside: 5,
  /** a guide's smaller measure needs this many pixels, or its absence says nothing */
  leastPixels: 13,
} as const;

/**
 * What the photos give for telling bare blank: the adjusted cameras and axis, and what the finder saw in each placed
 * view.
 */
export interface LookedAt {
  tagged: PerPhoto<TaggedView>;
  mat: MatSolution;
  blank: BlankSolution;
  views: PlacedViews;
  seen: readonly StripSeen[];
  /** where marks were found, mm from the tip-side end */
  marks: readonly number[];
}

/** How the photos show each planned place, by its id. */
export function placesShown(places: readonly PlaceToLookAt[], looked: LookedAt): Record<string, PlaceShown> {
  const shown = placesAsSeen(places, looked);
  const ofMarks = places.filter(({ guide }) => !guide);
  if (ofMarks.length === 0 || !marksLookBare(looked)) return shown;
  return { ...shown, ...Object.fromEntries(ofMarks.map(({ id }) => [id, { ...shown[id]!, bare: [] }])) };
}

/** Whether marks that were found look bare as well: that a place looks bare of one says nothing then. */
function marksLookBare(looked: LookedAt): boolean {
  const marks = looked.marks.map((at, i) => ({ id: String(i), at }));
  const found = Object.values(placesAsSeen(marks, looked));
  const count = (told: (place: PlaceShown) => readonly string[]) => found.reduce((n, own) => n + told(own).length, 0);
  return count(({ bare }) => bare) > room.foundBare * count(({ photos }) => photos);
}

function placesAsSeen(places: readonly PlaceToLookAt[], looked: LookedAt): Record<string, PlaceShown> {
  const { tagged, mat, blank, views, seen } = looked;
  const strips = new Map(seen.map((strip) => [views.photo[strip.view]!, strip]));
  return Object.fromEntries(
    places.map((place) => {
      const photos: string[] = [];
      const bare: string[] = [];
      const covered: string[] = [];
      for (const [i, { photo }] of tagged.entries()) {
        const stretch = blank.covers[i];
        const camera = mat.cameras[i];
        const { at } = place;
        if (!stretch || !camera || !isInFrame(photo, camera, blank, at)) continue;
        photos.push(photo.file);
        const strip = strips.get(i);
        const onStretch = at > stretch.from + room.margin && at < stretch.to - room.margin;
        if (onStretch && (strip ? showsBare(camera, blank, strip, place) : isLargeEnough(camera, blank, place)))
          bare.push(photo.file);
        else if (strip && isUnderSomething(blank, strip, at)) covered.push(photo.file);
      }
      return [place.id, { photos, bare, covered }];
    }),
  );
}

/**
 * Whether a photo shows a place on the blank, or where it would be: a grip that is taken to begin before it, or what
 * hides the outlines, is in the photo all the same.
 */
export const isInFrame = (
  photo: Pick<Photo, 'width' | 'height'>,
  camera: Camera,
  { axis }: Pick<BlankSolution, 'axis'>,
  at: number,
): boolean =>
  [at - room.beside, at + room.beside].every((s) => {
    const pixel = project(camera, axisPoint(axis, s));
    return pixel !== undefined && isInPhoto(photo, pixel, noBorder);
  });

function showsBare(camera: Camera, blank: BlankSolution, strip: StripSeen, place: PlaceToLookAt): boolean {
  const { at, guide } = place;
  const { axis } = blank;
  const radius = blankRadius(axis, at);
  if (!guide) {
    // What lies where the blank may not be says nothing of a mark: it may be the blank's shadow.
    if (axisSigmaAt(blank, at).side > room.known * radius) return false;
    const box: StripBox = {
      along: { from: at - room.mark, to: at + room.mark },
      across: { from: -radius, to: radius },
    };
    return isBareOfMark(strip.classes, box, radius);
  }
  const box = guideBox(camera, axis, at, { half: halfLength(guide), height: guide.height });
  if (!box || !isLargeEnough(camera, blank, place)) return false;
  const inside = ({ along, across }: { along: number; across: number }) =>
    along > box.along.from && along < box.along.to && across > box.across.from && across < box.across.to;
  return !strip.sightings.some(inside) && isBareOfGuide(strip.classes, box, radius);
}

function isUnderSomething({ axis }: BlankSolution, { classes }: StripSeen, at: number): boolean {
  const { along, beside } = room.covered;
  const radius = blankRadius(axis, at);
  const across = radius + beside;
  return isCovered(
    classes,
    { along: { from: at - along, to: at + along }, across: { from: -across, to: across } },
    radius,
  );
}

const halfLength = (guide: Guide): number => (guide.type === 'snake' ? guide.length : guide.ringOuter) / 2;

/** Whether a guide at a place would show so large that its absence says something; a mark always does. */
function isLargeEnough(camera: Camera, { axis }: BlankSolution, { at, guide }: PlaceToLookAt): boolean {
  if (!guide) return true;
  const distance = norm(subtract(cameraCentre(camera), axisPoint(axis, at)));
  return (2 * halfLength(guide) * camera.intrinsics.focal) / distance >= room.leastPixels;
}

/** Where on a photo's strip a guide at a place would show, with its frame and feet. */
function guideBox(
  camera: Camera,
  axis: BlankSolution['axis'],
  at: number,
  { half, height }: { half: number; height: number },
): StripBox | undefined {
  const section = crossSection(axis, at);
  const top = add(section.point, scale(section.up, section.radius + height));
  const shows = stripPlace(camera, axis, top, at);
  if (!shows) return undefined;
  const sideways = half + room.roll * (height + section.radius);
  return {
    along: {
      from: Math.min(at - half - room.foot, shows.along - half),
      to: Math.max(at + half + room.foot, shows.along + half),
    },
    across: { from: Math.min(0, shows.across) - sideways, to: Math.max(0, shows.across) + sideways },
  };
}
