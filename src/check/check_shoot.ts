import { blankByMat } from '../adjust/blank_by_mat.ts';
import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import type { Slide } from '../adjust/slide.ts';
import type { GuideSlide } from '../adjust/guide_ties.ts';
import type { FittedRing } from '../adjust/fitted_ring.ts';
import { type FittedMark, fitMarks } from '../adjust/mark_fit.ts';
import type { Half } from '../adjust/mat_halves.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import { matDoubt, scaleDoubt, tipEnd } from '../adjust/propagation.ts';
import { drawEvidence, type Proved } from './evidence.ts';
import { marksBorneOut } from './marks_borne_out.ts';
import { matFlatness } from './mat_flatness.ts';
import { type PlaceToLookAt, placesShown } from './coverage.ts';
import { findGuides, type LookAlong, lookingAlong, refuseWithoutGuides, ringGuides } from './find_guides.ts';
import { type FoundSnake, snakePlaces } from './find_snakes.ts';
import { furtherPhotoFor } from './further_photo.ts';
import { countedFrom, findTipTop, type FoundTipTop, tipTopMeasured } from './find_tip_top.ts';
import { type Begun, type Hands, oneHand } from './hands.ts';
import { holdingRod } from './held_photos.ts';
import { handPlaces, type HandSet, withHandPlaces } from './hand_places.ts';
import { beginHalves, heldAgainstHalves } from './halves.ts';
import { type KnownBefore, profilesUsed } from './known_before.ts';
import { measureBlank } from './measure_blank.ts';
import type { Measuring } from './measuring.ts';
import { markPlace, ringPlaces } from './places.ts';
import { piecesBy } from './pieces.ts';
import { begins, placePhotos, type TellProgress } from './place_photos.ts';
import { refuseIfUntied } from './refusals.ts';
import { findRod, laneLooks, type Rod, type RodAsked, rodShares } from './rod.ts';
import { type RollZero, rollZero } from './roll_zero.ts';
import { scaleAsFound } from './scale.ts';
import { doubtShadow } from './shadow_doubt.ts';
import { refuseIfSlid } from './slide.ts';
import {
  doubtedWhole,
  lookedAnewForSlides,
  possibleSlideNote,
  refuseIfUnmeasured,
  slideDeniedByGuides,
  slideOfGuides,
} from './slide_by_guides.ts';
import { type LoadPhoto, reportPhotos, type TaggedView } from './tagged_views.ts';
import { planOnMat } from '../plan/pieces/pieces.ts';
import type { Plan } from '../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { judge } from '../verdict/judge.ts';
import type { MeasuredPlace, MeasuredShoot } from '../verdict/measured_shoot.ts';
import type { Report } from '../verdict/report.ts';
import type { Finder } from '../vision/finder/finder.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';

export interface CheckOptions extends KnownBefore {
  /** the learned finder, loaded */
  finder: Finder;
  /** who does the check's pieces; this thread alone, by that finder, when absent */
  hands?: Hands;
  /** the report of an earlier marks shoot of the same rod */
  earlierMarks?: Report;
}

/**
 * The whole check: plan (of the whole rod, where the shoot names one of its pieces), shoot and photos in, report out,
 * and the pictures that prove it where they are asked for. Throws InputError, one sentence, when the photos cannot be
 * measured.
 */
export async function checkShoot(
  whole: Plan,
  shoot: Shoot,
  load: LoadPhoto,
  onProgress: TellProgress,
  options: CheckOptions,
): Promise<Proved> {
  const plan = planOnMat(whole, shoot);
  const { hands = oneHand(piecesBy(options.finder)) } = options;
  if (shoot.stage === 'blank') return measureBlank(plan, shoot, load, onProgress, { ...options, hands });
  refuseWithoutGuides(plan, shoot);
  const asked = { plan, shoot };
  const placed = await placePhotos(shoot, load, onProgress, options);
  const found = await lookOver(asked, placed, { load, onProgress, options, hands });
  await onProgress({ stage: 'Weighing the doubt', done: begins.doubt });
  const { measured, byHand } = weigh(asked, found, placed.mat, await found.halves());
  const report = judge(plan, shoot, measured, options);
  const { tagged, mat, blank, views, start, rings, snakes, tipTop, marks } = found;
  const evidence = () =>
    drawEvidence({
      plan,
      report,
      tagged,
      mat,
      blank,
      views,
      start,
      rings: [...rings, ...snakes],
      tipTop: tipTop?.ring,
      marks: shoot.stage === 'wrapped' ? [] : marks,
      byHand,
    });
  await onProgress({ stage: 'Done', done: 1 });
  return { report, evidence };
}

interface Asked {
  plan: Plan;
  shoot: Shoot;
}

/** All that the photos show of the rod, read, with the doubt of its own reading. */
interface LookedOver extends Pick<Rod, 'mat' | 'views' | 'slides'> {
  /** a slide that may be chance, between these two photos' files */
  doubted: { slide: Slide; between: readonly [string, string] } | undefined;
  tagged: readonly TaggedView[];
  /** as it was fitted, and with what the shadow and a tip-top leave in doubt */
  fitted: BlankSolution;
  blank: BlankSolution;
  /** added to an arc length to count as the plan does, mm */
  start: number;
  seen: readonly StripSeen[];
  tipTop: FoundTipTop | undefined;
  rings: FittedRing[];
  snakes: FoundSnake[];
  marks: FittedMark[];
  shadowNotes: readonly string[];
  halves: Begun<readonly [Half, Half] | undefined>;
}

interface Looking {
  load: LoadPhoto;
  onProgress: TellProgress;
  options: CheckOptions;
  look: LookAlong;
}

/** Finds blank, guides and marks. Throws InputError where they cannot be measured. */
async function lookOver(
  { plan, shoot }: Asked,
  { tagged: read, mat: placed }: { tagged: TaggedView[]; mat: MatSolution },
  {
    load,
    onProgress,
    options,
    hands,
  }: { load: LoadPhoto; onProgress: TellProgress; options: CheckOptions; hands: Hands },
): Promise<LookedOver> {
  const tell = (done: number) =>
    onProgress({ stage: 'Finding the blank', done: begins.blank + (begins.looking - begins.blank) * done });
  await tell(0);
  const asked = { plan, shoot, hands, hold: options.hold, tell };
  const look = lookingAlong(hands, plan);
  const lookOn = laneLooks(hands, read);
  await lookOn(placed, (done) => tell(rodShares.looked * done));
  // what follows is this thread's alone
  const halves = beginHalves(read, placed, { shoot, known: options }, hands);
  const looking = { load, onProgress, options, look };
  const first = await findOnRod(asked, read, await findRod(read, placed, asked, lookOn, look), looking);
  const { found, by } = await lookedAnewForSlides(first, slideByItsGuides(asked), async (slid) => {
    // what is told of the progress does not go back
    const lying = await findRod(read, placed, { ...asked, tell: () => {}, slid }, lookOn);
    return findOnRod(asked, read, lying, { ...looking, onProgress: () => {} });
  });
  const doubted = by && { slide: by, between: photosRound(by, found) };
  if (doubted) refuseIfUnmeasured(doubted.slide, doubted.between);
  const { rod, ...onIt } = found;
  const { mat, blank: fitted, views, bands, slides } = rod;
  refuseIfSlid(
    { ...found, views, blank: fitted, slides },
    shoot.rest,
    (slide) => guidesAreOn(shoot.stage) && slideDeniedByGuides(slide, ...guidesOn(asked, found)),
  );
  const fittedMarks = fitMarks(bands, plan.markedBy);
  // With guides on, tape, thread and feet lie beside the marks.
  const marks = guidesAreOn(shoot.stage) ? fittedMarks : marksBorneOut(fittedMarks, fitted.axis, found.seen);
  return { ...onIt, mat, fitted, views, slides, doubted, marks, halves };
}

const guidesOn = ({ plan, shoot }: Asked, found: FoundOnRod) =>
  [found.rod, found, ringGuides(plan, found.start), shoot.rest] as const;

const slideByItsGuides =
  (asked: Asked) =>
  (found: FoundOnRod): GuideSlide | undefined =>
    guidesAreOn(asked.shoot.stage) ? slideOfGuides(...guidesOn(asked, found)) : undefined;

/** The files of the photos before and after a slide. */
const photosRound = ({ from }: Slide, { tagged, rod: { views } }: FoundOnRod): [string, string] => [
  tagged[views.photo[from - 1]!]!.photo.file,
  tagged[views.photo[from]!]!.photo.file,
];

type FoundOnRod = Awaited<ReturnType<typeof findOnRod>>;

/** What the photos show on the rod as it lies: guides, and what of its ends and outline they leave in doubt. */
async function findOnRod(
  { plan, shoot, hands }: RodAsked,
  read: readonly TaggedView[],
  lying: Rod,
  { load, onProgress, options, look }: Looking,
) {
  const { tagged, rod } = await holdingRod(read, lying, load, options.keep);
  const { blank: fitted, views } = rod;
  const stage = guidesAreOn(shoot.stage) ? 'Finding the rings' : 'Finding the marks';
  const seen = await look(views.list, fitted.axis, (done) =>
    onProgress({ stage, done: begins.looking + (begins.rings - begins.looking) * done }),
  );
  await onProgress({ stage, done: begins.rings });
  const tipTop = plan.tipTop && findTipTop(views.list, fitted.axis, seen, plan.tipTop);
  const { blank: counted, start } = countedFrom(plan, fitted, tipTop, views.list);
  const { blank, notes: shadowNotes } = doubtShadow(counted, seen, lying.finish);
  const { axis, grip } = blank;
  const looked = { views: views.list, axis, grip, start, seen, tipTop };
  const { rings, snakes } = await findGuides(plan, shoot, looked, hands);
  return { tagged, rod, blank, start, seen, tipTop, rings, snakes, shadowNotes };
}

/**
 * What was found as places with all their doubt, as the verdict takes it. `placed` = the mat before the rod was found,
 * `solved` = the halves of the walk that placed it.
 */
function weigh(
  { plan, shoot }: Asked,
  found: LookedOver,
  placed: MatSolution,
  solved: readonly [Half, Half] | undefined,
): { measured: MeasuredShoot; byHand: HandSet[] } {
  const { tagged, mat, fitted, blank, views, slides, doubted, start, seen, marks, tipTop, shadowNotes } = found;
  const blankBy = blankByMat(mat, fitted, !tipTop);
  const doubt = matDoubt(mat, tipEnd(blank), blankBy?.tip);
  refuseIfUntied(doubt);
  const { notes: scaleNotes, ...scale } = scaleAsFound(mat, scaleDoubt(mat, doubt), shoot.mat);
  const slid = [...slides, ...(doubted ? [doubtedWhole(doubted.slide)] : [])];
  const measuring: Measuring = { mat, blank, doubt, scale: scale.u, views, start, slides: slid, blankBy };
  const zero = rollZero(shoot, measuring);
  const byHand = handPlaces(plan, shoot, zero, measuring);
  const detected = placesFound({ plan, shoot }, found, zero, measuring);
  const held = heldAgainstHalves(withHandPlaces(detected, byHand), placed, solved);
  const { places, halves } = held;
  const { flatWithin, notes: flatNotes } = matFlatness(mat);
  const { profiles, notes: profileNotes } = profilesUsed(mat);
  const slideNotes = doubted ? [possibleSlideNote(doubted.slide, doubted.between)] : [];
  const measured: MeasuredShoot = {
    places,
    photos: reportPhotos(tagged, mat),
    scale,
    flatWithin,
    profiles,
    ...(halves && { halves }),
    tip: blank.tipSigma,
    start,
    ...(tipTop && { tipTop: tipTopMeasured(tipTop, zero, measuring) }),
    shown: placesShown(placesToLookAt(plan, shoot, start), {
      tagged,
      mat,
      blank,
      views,
      seen,
      marks: marks.map(({ along }) => along.value),
    }),
    ...(zero.roll && { rollZero: zero.roll.u }),
    // A shadow that may be the blank, or a rod that slid, is cured by no further photo.
    ...(shadowNotes.length + slides.length === 0 && { furtherPhoto: furtherPhotoFor(places, zero, measuring) }),
    slides: slides.map(({ from, along }) => ({ afterPhoto: tagged[views.photo[from - 1]!]!.photo.file, along })),
    notes: [...shadowNotes, ...slideNotes, ...scaleNotes, ...flatNotes, ...held.notes, ...profileNotes, ...zero.notes],
  };
  return { measured, byHand };
}

/** What was found as places: guides from tip to butt, or marks. */
function placesFound(
  { plan, shoot }: Asked,
  { rings, snakes, marks }: LookedOver,
  zero: RollZero,
  measuring: Measuring,
): MeasuredPlace[] {
  if (!guidesAreOn(shoot.stage)) return marks.map((mark) => markPlace(mark, measuring));
  return [
    ...ringPlaces(plan, rings, shoot.stage === 'wrapped' ? [] : marks, zero, measuring),
    ...snakePlaces(snakes, zero, measuring),
  ].sort((a, b) => a.along.value - b.along.value);
}

/** The planned places that a shoot is about, counted from the tip-side end of what lies on the mat. */
function placesToLookAt(plan: Plan, shoot: Shoot, start: number): PlaceToLookAt[] {
  const onMat = plan.positions.map(({ id, at, guide }) => ({ id, at: at - start, ...(guide && { guide }) }));
  return guidesAreOn(shoot.stage) ? onMat.filter(({ guide }) => guide) : onMat.map(({ id, at }) => ({ id, at }));
}
