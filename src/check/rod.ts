import { type BlankSolution, liftBlank } from '../adjust/blank_adjustment.ts';
import type { BandSeen, BandTies, ViewsKnown } from '../adjust/band_problem.ts';
import { joinedSlides, type Slide, undone } from '../adjust/slide.ts';
import { tieBands } from '../adjust/band_ties.ts';
import { laneOf } from '../adjust/mat_lane.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { matDoubt, placeDoubt, tipEnd } from '../adjust/propagation.ts';
import { axisPoint, type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { type Camera, makeCamera } from '../geometry/camera.ts';
import { add, scale, subtract, transform, unit, type Vector3 } from '../geometry/vector.ts';
import type { Blank, Plan } from '../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { markRange } from '../vision/grip_start.ts';
import { finishSeen } from '../vision/finish_seen.ts';
import type { LaneLook } from '../vision/lane_look.ts';
import { joinMarkSearches, type MarkSearchResult } from '../vision/mark_search.ts';
import { type LookAlong, ringGuides } from './find_guides.ts';
import type { PlannedGuide } from './find_rings.ts';
import type { Hands, TellShare } from './hands.ts';
import { refuseIfRodMoved } from './refusals.ts';
import { settleBlank } from './settle_blank.ts';
import type { LookAtTips } from './settle_tip.ts';
import { bandsClearOfRings, ringsBearOut, ringsDeny } from './slide.ts';
import { type PlacedViews, placedViews, type TaggedView } from './tagged_views.ts';
import type { PerView, ViewIndex } from '../vision/strip.ts';
import type { HoldParts, PerPhoto } from '../photo/photo.ts';

/** The rod as it lies on the mat, as all photos together have it. */
export interface Rod {
  /** the mat with its cameras, those after a slide moved along so that they see the rod where the tip's photo has it */
  mat: MatSolution;
  blank: BlankSolution;
  /** dark or light, as it shows, and as the plan has it where that is not plain */
  finish: Blank['finish'];
  views: PlacedViews;
  /** bands across the blank, in every view: marks, tape, thread */
  bands: MarkSearchResult;
  /** in the order of the photos; `from` counts views */
  slides: Slide[];
}

/** What is asked about, who helps, and what keeps what each photo shows across the lane; memory when absent. */
export interface RodAsked {
  plan: Plan;
  shoot: Shoot;
  hands: Hands;
  hold?: HoldParts | undefined;
  /** the rod as it was found before its guides told that it slid, and by how much more (or less) */
  slid?: { before: Rod; by: Slide } | undefined;
  /** is told the share of the finding that is done, as far as can be said */
  tell?: TellShare | undefined;
}

const rod = {
  /** however well cameras are known, a photo may be off along by this much, mm: light, blur, what no fit sees */
  leastDrift: 0.05,
  /** a mark's band repeats from photo to photo to this, mm, and a tape's or a foot's edge, which stand off the blank */
  markReading: 0.08,
  edgeReading: 0.16,
  /**
   * outlines leave the axis's height open by this much, mm: a shadow shifts both of them; where the tip lies on paper
   * by less
   */
  height: 1.2,
  tipHeight: 0.35,
  /** the tip's height is known for so many mm of blank */
  tipReach: 300,
  /** a band so clear that every photo of its place shows it: share of the width, deviations above the texture */
  clearCoverage: 0.7,
  clearScore: 20,
  /**
   * the surface that a band shows is seen from there: what is known of its height and its reading where drift is told,
   * mm and pixels
   */
  known: 0.05,
} as const;

/** Shares of finding the rod after which its lanes are looked at, and the blank stands; the bands come last. */
export const rodShares = { looked: 0.3, settled: 0.8 } as const;

/**
 * Finds the blank and the bands on it, and makes all photos agree: where the rod slid lengthwise between two photos,
 * the later ones are moved along so that every place counts from the tip as its photo has it; on a bare blank the bands
 * also say how high it lies. `lookOn` = what the finder sees in the lanes, by the mat that places the photos;
 * `seenAlong` = what it sees along the blank, asked where a slide is to be said: rings shift with the camera, several
 * of them alike, as a slid rod's bands would. Throws InputError where the blank or its tip is not found, or the rod
 * moved sideways.
 */
export async function findRod(
  tagged: PerPhoto<TaggedView>,
  found: MatSolution,
  { plan, shoot, hands, hold, slid, tell = () => {} }: RodAsked,
  lookOn: LookOnMat,
  seenAlong?: LookAlong,
): Promise<Rod> {
  const photos = tagged.map(({ photo }) => photo);
  const inLane = { rest: shoot.rest, isMeasured: shoot.stage === 'blank', tipHidden: plan.tipTop !== undefined };
  let share = 0;
  // after a slide it is all done once more: what is told does not go back
  const tellOn = (done: number) => tell((share = Math.max(share, done)));
  const blankOn = async (mat: MatSolution) => {
    const look = await lookOn(mat, (done) => tellOn(rodShares.looked * done));
    await tellOn(rodShares.looked);
    const lookAtTips = tipsLookedAt(hands, tagged, mat);
    const shown = finishSeen(photos, mat.cameras, look);
    const finish = shown ?? plan.blank.finish;
    const expected = { ...inLane, blank: { ...plan.blank, finish }, toldApart: shown !== undefined };
    const blank = await settleBlank(photos, mat, { ...expected, hold }, look, lookAtTips);
    refuseIfRodMoved(tagged, blank);
    await tellOn(rodShares.settled);
    const views = placedViews(tagged, mat);
    const along = { axis: blank.axis, range: markRange(blank.axis, blank.grip) };
    const marks = await hands.each('marks', views.list.length, (index) => ({
      view: views.list[index]!,
      index,
      ...along,
    }));
    return { mat, blank, finish, views, bands: joinMarkSearches(marks) };
  };
  if (slid) {
    const { before, by } = slid;
    const slides = joinedSlides(before.slides, by);
    return { ...(await blankOn(slidBack(before, [...slides, ...before.slides.map(undone)]))), slides };
  }
  let lying = await blankOn(found);
  const reading = guidesAreOn(shoot.stage) ? rod.edgeReading : rod.markReading;
  const known = { reading, length: plan.blank.length, heightSigma: heightSigmaOf(shoot) };
  let ties = tie(lying, known);
  const guides = guidesAreOn(shoot.stage) ? ringGuides(plan, plan.section?.startsAt ?? 0) : [];
  const slides = await slidesBorneOut(lying, ties, known, guides.length > 0 ? { guides, seenAlong } : undefined);
  if (slides.length > 0) {
    lying = await blankOn(slidBack(lying, slides));
    ties = tie(lying, known);
  }
  // With guides on, tape and feet stand off the blank: their height is not the blank's.
  if (guidesAreOn(shoot.stage) || ties.heights.length === 0) return { ...lying, slides };
  return { ...lifted(lying, ties.heights), slides };
}

/**
 * The slides that bands tell and rings do not deny: where they do, bands behind rings are left out, and what the others
 * tell counts. Where bands are too few to tell one, one that rings bear out as well.
 */
async function slidesBorneOut(
  lying: Lying,
  { slides: told, hinted }: BandTies,
  known: Known,
  guidesOn: { guides: readonly PlannedGuide[]; seenAlong?: LookAlong | undefined } | undefined,
): Promise<Slide[]> {
  if (told.length + hinted.length === 0 || !guidesOn?.seenAlong) return told;
  const { bands, views, blank } = lying;
  const seen = await guidesOn.seenAlong(views.list, blank.axis);
  const rings = { views: views.list, axis: blank.axis, seen, guides: guidesOn.guides };
  const isDenied = (slide: Slide) => ringsDeny(slide, rings);
  if (told.length > 0 && !told.some(isDenied)) return told;
  const clear = tie({ ...lying, bands: bandsClearOfRings(bands, views.list, seen) }, known);
  const clearlyTold = clear.slides.filter((slide) => !isDenied(slide));
  if (clearlyTold.length > 0) return clearlyTold;
  return [...clear.hinted, ...hinted].filter((slide) => ringsBearOut(slide, rings)).slice(0, 1);
}

/** What the finder sees in the lanes of all photos as a mat's cameras have them; `tell` is told the share done. */
export type LookOnMat = (mat: MatSolution, tell?: TellShare) => Promise<LaneLook>;

/** Each mat is looked at once. */
export function laneLooks(hands: Hands, tagged: PerPhoto<TaggedView>): LookOnMat {
  const looks = new Map<MatSolution, Promise<LaneLook>>();
  return (mat, tell) => {
    const look = looks.get(mat) ?? laneLook(hands, tagged, mat, tell);
    looks.set(mat, look);
    return look;
  };
}

/** Where the finder sees the blank's tip end in the photos as a mat's cameras have them. */
const tipsLookedAt =
  (hands: Hands, tagged: PerPhoto<TaggedView>, { cameras }: MatSolution): LookAtTips =>
  async (ends) => {
    const asked = ends.map(({ photo, end }) => ({
      view: { photo: tagged[photo]!.photo, camera: cameras[photo]! },
      end,
    }));
    const told = await hands.each('tip', asked.length, (i) => asked[i]!);
    return told.flatMap((point, i) => {
      const { photo, from } = ends[i]!;
      return point ? [{ photo, point: { ...point, offset: from + point.offset } }] : [];
    });
  };

async function laneLook(
  hands: Hands,
  tagged: PerPhoto<TaggedView>,
  mat: MatSolution,
  tell?: TellShare,
): Promise<LaneLook> {
  const lane = laneOf(mat);
  const placed = tagged.flatMap(({ photo }, index) => {
    const camera = mat.cameras[index];
    return camera ? [{ view: { photo, camera }, index, lane }] : [];
  });
  const seen = await hands.each('lane', placed.length, (i) => placed[i]!, tell);
  const byPhoto = new Map(placed.map(({ index }, i) => [index, seen[i]]));
  return { lane, seen: tagged.map((_, index) => byPhoto.get(index)) };
}

type Lying = Omit<Rod, 'slides'>;

const heightSigmaOf =
  ({ rest }: Shoot) =>
  (along: number) =>
    rest.kind === 'flat'
      ? rod.tipHeight + (rod.height - rod.tipHeight) * Math.min(Math.max(along / rod.tipReach, 0), 1)
      : rod.height;

type Known = Pick<ViewsKnown, 'reading' | 'length' | 'heightSigma'>;

/** How far each view may be off along as a whole: standard deviation, mm. */
export function driftOf({ mat, blank, views }: Lying): PerView<number> {
  const doubt = matDoubt(mat, tipEnd(blank));
  return views.photo.map((photo) => {
    const cover = blank.covers[photo];
    if (!cover || !doubt) return rod.leastDrift;
    const { point, along } = crossSection(blank.axis, (cover.from + cover.to) / 2);
    const { geometry } = placeDoubt(mat, doubt, {
      point,
      along,
      photos: [photo],
      heightSigma: rod.known,
      pixelSigma: rod.known,
    });
    return Math.hypot(rod.leastDrift, geometry);
  });
}

function tie(lying: Lying, known: Known) {
  const { blank, views, bands } = lying;
  const seen = bands.sightings.map(
    (band): BandSeen => ({
      view: band.view,
      along: (band.tipEdge + band.buttEdge) / 2,
      u: Math.hypot(band.centreU, band.raggedCentreU),
      width: band.buttEdge - band.tipEdge,
      perHeight: band.parallax,
      clear: band.coverage > rod.clearCoverage && band.score > rod.clearScore,
    }),
  );
  return tieBands(seen, { ...known, drift: driftOf(lying), covers: views.photo.map((photo) => blank.covers[photo]) });
}

/** The mat with the cameras of slid photos moved so that they see the rod where the tip's first photo has it. */
function slidBack({ mat, blank, views }: Lying, slides: readonly Slide[]): MatSolution {
  const along = directionOf(blank.axis);
  const slidIn = (view: ViewIndex) => slides.reduce((sum, s) => sum + (view >= s.from ? s.along.value : 0), 0);
  const tipView = views.photo.indexOf(blank.tipPhotos[0] ?? 0);
  const cameras = mat.cameras.map((camera, photo) => {
    const view = views.photo.indexOf(photo);
    return camera && view >= 0 ? movedCamera(camera, scale(along, slidIn(view) - slidIn(tipView))) : camera;
  });
  return { ...mat, cameras };
}

const directionOf = (axis: BlankAxis): Vector3 =>
  unit(subtract(axisPoint(axis, axis.from + (axis.points.length - 1) * axis.step), axisPoint(axis, axis.from)));

/** The camera as if what it sees lay back by `by` (bench, mm) from where it lies. */
const movedCamera = ({ intrinsics, pose, matrix }: Camera, by: Vector3): Camera =>
  makeCamera(intrinsics, { rotation: pose.rotation, translation: add(pose.translation, transform(matrix, by)) });

/** The blank as high as the bands say, and the bands as they lie on it then. */
function lifted(lying: Lying, heights: readonly { along: number; value: number; u: number }[]): Lying {
  const { mat, blank, bands } = lying;
  const higher = liftBlank(blank, mat.cameras, heights);
  const lift = (s: number) => axisPoint(higher.axis, s)[2] - axisPoint(blank.axis, s)[2];
  const sightings = bands.sightings.map((band) => {
    const shift = band.parallax * lift(band.tipEdge);
    return { ...band, tipEdge: band.tipEdge + shift, buttEdge: band.buttEdge + shift };
  });
  return { ...lying, blank: higher, bands: { ...bands, sightings } };
}
