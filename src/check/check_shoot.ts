import { adjustBlank } from '../adjust/blank_adjustment.ts';
import { fitRings, type PlannedGuide } from '../adjust/fit_rings.ts';
import { fitMarks } from '../adjust/mark_fit.ts';
import { adjustMat } from '../adjust/mat_adjustment.ts';
import { matDoubt, scaleDoubt } from '../adjust/propagation.ts';
import { drawEvidence } from './evidence.ts';
import {
  coveredStretches,
  photoProblems,
  placedViews,
  refuseIfPagesMoved,
  refuseIfRodMoved,
  refuseIfSlid,
  refuseWithoutTags,
  scaleAsFound,
  type TaggedView,
} from './check_photos.ts';
import { handPlaces, isReplaced, markPlace, type Measuring, ringPlaces, rollZero } from './places.ts';
import type { BlankAxis } from '../geometry/blank_axis.ts';
import type { Photo } from '../photo/photo.ts';
import { InputError } from '../plan/input_error.ts';
import type { Plan } from '../plan/plan.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { Evidence } from '../verdict/evidence.ts';
import { judge } from '../verdict/judge.ts';
import type { Report } from '../verdict/report.ts';
import { gripStart, markRange } from '../vision/grip_start.ts';
import type { View } from '../vision/strip.ts';
import { readTags } from '../vision/tags.ts';

/** Hands over the photo at this place of `shoot.photos`, decoded. */
export type LoadPhoto = (index: number) => Promise<Photo>;

export interface Progress {
  stage: string;
  /** 0 to 1 */
  done: number;
}

export interface CheckOptions {
  /** the report of an earlier marks shoot of the same rod */
  earlierMarks?: Report;
}

/**
 * The whole check: plan, shoot and photos in, report and the pictures that prove it out. Throws InputError, one sentence,
 * when the photos cannot be measured.
 */
export async function checkShoot(
  plan: Plan,
  shoot: Shoot,
  load: LoadPhoto,
  onProgress: (progress: Progress) => void = () => {},
  options: CheckOptions = {},
): Promise<{ report: Report; evidence: Evidence }> {
  const guides = guidesToFind(plan, shoot);
  const tagged = await readPhotos(shoot, load, onProgress);
  await refuseWithoutTags(tagged);

  onProgress({ stage: 'Working out where the camera stood', done: 0.5 });
  const mat = adjustMat(
    tagged.map(({ photo, reading }) => ({ ...photo, tags: reading.tags })),
    shoot.mat,
  );
  if (!mat)
    throw new InputError(
      'No photo shows two tags of one page: step back until whole squares are in view, and shoot again.',
    );
  refuseIfPagesMoved(tagged, mat);
  if (!mat.solution.usable)
    throw new InputError(
      'The photos contradict each other about where the pages lie: check that nothing moved between them, and take the walk again.',
    );

  onProgress({ stage: 'Finding the blank', done: 0.55 });
  const photos = tagged.map(({ photo }) => photo);
  const blank = adjustBlank(photos, mat, plan.blank, shoot.rest);
  refuseIfRodMoved(tagged, blank);
  const views = placedViews(tagged, mat);

  onProgress({ stage: shoot.stage === 'rings' ? 'Finding the rings' : 'Finding the marks', done: 0.65 });
  const rings = fitRings(views.list, blank.axis, guides, { to: endOfGuides(plan, guides, views.list, blank.axis) });
  const marks = fitMarks(views.list, blank.axis, {
    range: markRange(views.list, blank.axis),
    ...(plan.markedBy ? { markedBy: plan.markedBy } : {}),
  });
  refuseIfSlid(tagged, views, blank, marks);

  onProgress({ stage: 'Weighing the doubt', done: 0.9 });
  const doubt = matDoubt(mat, blank);
  if (!doubt)
    throw new InputError(
      'The photos do not tie the pages together: take one more photo that shows two neighbouring pages at once.',
    );
  const { notes: scaleNotes, ...scale } = scaleAsFound(mat, scaleDoubt(mat, doubt), shoot.mat);
  const measuring: Measuring = { mat, blank, doubt, scale: scale.u, views };
  const zero = shoot.stage === 'rings' ? rollZero(shoot, measuring) : { notes: [] };
  const detected =
    shoot.stage === 'rings'
      ? ringPlaces(plan, shoot, rings, marks, zero, measuring)
      : marks.map((mark) => markPlace(mark, measuring));
  const byHand = handPlaces(plan, shoot, zero, measuring);
  const places = [
    ...detected.filter((place) => !isReplaced(place.along.value, byHand)),
    ...byHand.map(({ place }) => place),
  ];

  const report = judge(
    plan,
    shoot,
    {
      places,
      photos: tagged.map((view, i) => ({
        file: view.photo.file,
        tags: view.reading.tags.length,
        residual: mat.residuals[i] ?? 0,
        problems: photoProblems(view, mat.cameras[i] !== undefined),
      })),
      scale,
      tip: blank.tipSigma,
      covered: coveredStretches(tagged, mat, blank, guides),
      notes: [...scaleNotes, ...zero.notes],
    },
    options,
  );
  onProgress({ stage: 'Drawing the pictures', done: 0.95 });
  const evidence = drawEvidence({
    plan,
    report,
    tagged,
    mat,
    blank,
    views,
    rings: rings.filter((ring) => !isReplaced(ring.along, shoot.stage === 'rings' ? byHand : [])),
    marks: marks.filter((mark) => !isReplaced(mark.along.value, shoot.stage === 'marks' ? byHand : [])),
    byHand,
  });
  onProgress({ stage: 'Done', done: 1 });
  return { report, evidence };
}

/** The guides a rings shoot is about, with places counted from the tip-side end of what lies on the mat. */
function guidesToFind(plan: Plan, shoot: Shoot): PlannedGuide[] {
  if (shoot.stage === 'marks') return [];
  const start = plan.section?.startsAt ?? 0;
  const guides = plan.positions.flatMap(({ id, at, guide }) => (guide ? [{ id, at: at - start, guide }] : []));
  if (guides.length === 0)
    throw new InputError('The plan has no guides, so there are no rings to check: add the guides, or shoot the marks.');
  return guides;
}

/**
 * How far along the blank guides are looked for, mm: to the grip, and not far beyond the last planned guide, where only
 * the reel seat's own rings and hoods would be met.
 */
function endOfGuides(plan: Plan, guides: readonly PlannedGuide[], views: readonly View[], axis: BlankAxis): number {
  const last = Math.max(...guides.map((guide) => guide.at));
  const grip = gripStart(views, axis) ?? plan.blank.length;
  return Math.max(Math.min(grip, last + 0.4 * (plan.blank.length - last)), last + 20);
}

/** Decodes each photo and reads its tags, one after the other: only one is held as it was coded. */
async function readPhotos(
  shoot: Shoot,
  load: LoadPhoto,
  onProgress: (progress: Progress) => void,
): Promise<TaggedView[]> {
  const tagged: TaggedView[] = [];
  const count = shoot.photos.length;
  for (let i = 0; i < count; i++) {
    onProgress({ stage: `Reading photo ${i + 1} of ${count}`, done: (0.5 * i) / count });
    const photo = await load(i);
    tagged.push({ photo, reading: await readTags(photo) });
  }
  return tagged;
}
