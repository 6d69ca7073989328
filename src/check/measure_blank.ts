import { blankShape, mirroredShare, type ShapeRow } from '../adjust/blank_shape.ts';
import { matDoubt, scaleDoubt, tipEnd } from '../adjust/propagation.ts';
import { bleedIn, type MatSolution } from '../adjust/mat_summary.ts';
import { axisPoint, blankRadius } from '../geometry/blank_axis.ts';
import type { PerPhoto } from '../photo/photo.ts';
import type { Plan } from '../plan/plan.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { Measured, Report, ReportBlank } from '../verdict/report.ts';
import type { ViewIndex } from '../vision/strip.ts';
import { isLimbHidden } from '../vision/hidden_limbs.ts';
import { bleedShare, outlineLevels, squareLevels } from '../vision/white_bleed.ts';
import { collarColour } from '../vision/collar_colour.ts';
import { type OutlineStep, outlineSteps } from '../vision/outline_steps.ts';
import { type BlankFitting, blankFittings } from './blank_fittings.ts';
import { type BlankOnMat, findBlank } from './blank_on_mat.ts';
import { drawnLine } from './drawn_line.ts';
import { drawEvidence, type Proved } from './evidence.ts';
import { matFlatness } from './mat_flatness.ts';
import type { Hands } from './hands.ts';
import { type KnownBefore, profilesUsed } from './known_before.ts';
import type { Measuring } from './measuring.ts';
import { alongWithDoubt } from './place_doubt.ts';
import { begins, placePhotos, type TellProgress } from './place_photos.ts';
import { refuseIfUntied } from './refusals.ts';
import { scaleAsFound } from './scale.ts';
import type { RodAsked } from './rod.ts';
import { refuseIfSlid } from './slide.ts';
import { type LoadPhoto, matTags, reportPhotos, type TaggedView } from './tagged_views.ts';

const measured = {
  /** a diameter every so many mm, and none so near the end of what shows, mm */
  every: 25,
  clearOfEnd: 4,
  /** where the grip begins is looked for in steps of 2 mm, and its edge is round: standard uncertainty, mm */
  grip: 1.2,
  /** a diameter known no better than this is asked for again, mm (expanded) */
  clear: 0.3,
  /** how well the height of the butt and the grip's edge is known, mm */
  endHeight: 0.8,
  /** edges of a ferrule or check, seen straight across the blank: standard uncertainty, mm */
  fittingEdge: 0.5,
  /** the outline is looked along from here on, and so far into a grip, mm */
  clearOfTip: 8,
  intoGrip: 18,
  /** a place shows in photos that look at the blank to so many mm before it: it ends there, or is covered on */
  before: 40,
} as const;

/**
 * A blank shoot: the bare blank's length, diameters and bow as it lies on the mat, and the pictures that prove it where
 * they are asked for. The plan lends it a first guess of its size and no more. Throws InputError, one sentence, when
 * the photos cannot be measured.
 */
export async function measureBlank(
  plan: Plan,
  shoot: Shoot,
  load: LoadPhoto,
  onProgress: TellProgress,
  { hands, ...known }: { hands: Hands } & KnownBefore,
): Promise<Proved> {
  const { tagged, mat: placed } = await placePhotos(shoot, load, onProgress, known);

  await onProgress({ stage: 'Finding the blank', done: begins.blank });
  const { found, report } = await measurePlaced(tagged, placed, { plan, shoot, hands, hold: known.hold });

  const { mat, blank, views } = found.rod;
  const none = { rings: [], marks: [], byHand: [], start: 0 };
  const evidence = () =>
    drawEvidence({ plan: { ...plan, blank: found.blank }, report, tagged, mat, blank, views, ...none });
  await onProgress({ stage: 'Done', done: 1 });
  return { report, evidence };
}

/** What photos whose cameras are placed tell of the blank. Throws InputError. */
export async function measurePlaced(
  tagged: readonly TaggedView[],
  placed: MatSolution,
  asked: RodAsked,
): Promise<{ found: BlankOnMat; report: Report }> {
  const seen = await findBlank(tagged, placed, asked);
  const { mat, blank, views, slides } = seen.rod;
  refuseIfSlid({ tagged, views, blank, slides, seen: [] }, asked.shoot.rest);
  const doubt = matDoubt(mat, tipEnd(blank));
  refuseIfUntied(doubt);
  const { notes: scaleNotes, ...scale } = scaleAsFound(mat, scaleDoubt(mat, doubt), asked.shoot.mat);
  const photos = tagged.map(({ photo }) => photo);
  const limbHidden = isLimbHidden(photos, blank.evidence.points);
  const found = limbHidden ? endInShadow(seen) : seen;
  const rows = blankShape(mat, doubt, blank, { along: placesAlong(found), bleed: bleedOf(found, tagged), limbHidden });
  const { flatWithin, notes: flatNotes } = matFlatness(mat);
  const { profiles, notes: profileNotes } = profilesUsed(mat);
  const ended = found.butt !== undefined || blank.grip !== undefined;
  const report: Report = {
    schema: 'prewrap.report/1',
    unit: 'mm',
    stage: 'blank',
    verdict: ended && !limbHidden && unclear(rows).length === 0 ? 'ready' : 'reshoot',
    items: [],
    extras: [],
    photos: reportPhotos(tagged, mat),
    scale: { along: scale.along, across: scale.across, expanded: 2 * scale.u },
    flatWithin,
    ...(profiles.length > 0 && { profiles }),
    notes: [...shapeNotes(found, rows, limbHidden), ...scaleNotes, ...flatNotes, ...profileNotes],
    blank: reportBlank(found, { rows, limbHidden }, asked.shoot, {
      mat,
      blank,
      doubt,
      scale: scale.u,
      views,
      start: 0,
      slides,
    }),
  };
  return { found, report };
}

/** Arc lengths to measure at, from the tip to where the blank's outlines end. */
function placesAlong({ butt, outlinesTo }: BlankOnMat): number[] {
  const last = Math.floor((butt?.along ?? outlinesTo) - measured.clearOfEnd);
  const even = Array.from({ length: Math.floor(last / measured.every) + 1 }, (_, i) => i * measured.every);
  return last - even.at(-1)! < 1 ? even : [...even, last];
}

/**
 * How far white bleeds over the blank's outline, mm, over all photos: as far as over the squares' edges, less where the
 * blank is lighter than they are.
 */
function bleedOf({ rod: { mat, blank } }: BlankOnMat, tagged: PerPhoto<TaggedView>): number {
  const told = blank.evidence.points.flatMap((points, i) => {
    const { photo, reading } = tagged[i]!;
    const squares = squareLevels(photo, matTags(reading));
    const sides = ([1, -1] as const).flatMap(
      (side) =>
        outlineLevels(
          photo,
          points.filter((point) => point.side === side),
        ) ?? [],
    );
    if (!squares || sides.length === 0) return [];
    const share = sides.reduce((sum, levels) => sum + bleedShare(levels), 0) / sides.length;
    return [(bleedIn(mat, i) * share) / bleedShare(squares)];
  });
  return told.reduce((sum, own) => sum + own, 0) / Math.max(told.length, 1);
}

/** What sits on the blank, as its outline tells it between the tip and a little into the grip, or the butt. */
function fittingsOn({ butt, outlinesTo }: BlankOnMat, { blank, views }: Measuring): BlankFitting[] {
  const { axis, grip } = blank;
  const end = grip === undefined ? (butt?.along ?? outlinesTo) - measured.clearOfEnd : grip + measured.intoGrip;
  const thick = (step: OutlineStep) => ({ ...step, radius: blankRadius(axis, step.from) + step.thicker / 2 });
  return blankFittings(
    outlineSteps(views.list, axis, { from: measured.clearOfTip, to: end }, grip),
    grip,
    (collar, follows) => collarColour(views.list, axis, thick(collar), thick(follows)),
  );
}

/** The line drawn along it, where one shows. */
function lineOf(measuring: Measuring): Pick<ReportBlank, 'line'> {
  const line = drawnLine(measuring);
  if (!line) return {};
  const { from, to, roll } = line;
  return { line: { from, to, roll: { value: roll.value, expanded: 2 * roll.u } } };
}

function reportBlank(
  found: BlankOnMat,
  { rows, limbHidden }: { rows: readonly ShapeRow[]; limbHidden: boolean },
  shoot: Shoot,
  measuring: Measuring,
): ReportBlank {
  const { grip, axis } = measuring.blank;
  const place = (value: number, u: number, views: readonly ViewIndex[]): Measured => {
    const photos = views.map((view) => measuring.views.photo[view]!);
    const { along } = alongWithDoubt(
      { value, u },
      axisPoint(axis, value),
      photos,
      { own: measured.endHeight },
      measuring,
    );
    return { value, expanded: 2 * along.u };
  };
  const showing = (s: number) =>
    measuring.views.photo.flatMap((photo, view) =>
      (measuring.blank.covers[photo]?.to ?? 0) > s - measured.before ? [view] : [],
    );
  const fittings = limbHidden
    ? []
    : fittingsOn(found, measuring).map(({ kind, from, to, thicker }) => ({
        kind,
        from: place(from, measured.fittingEdge, showing(from)),
        to: place(to, measured.fittingEdge, showing(to)),
        thicker,
      }));
  return {
    ...(found.butt && { length: place(found.butt.along, found.butt.u, found.butt.views) }),
    ...(grip !== undefined && { grip: place(grip, measured.grip, showing(grip)) }),
    ...(fittings.length > 0 && { fittings }),
    ...lineOf(measuring),
    diameters: rows.map((r) => [r.along, r.diameter, 2 * r.diameterU]),
    bow: rows.map((r) => [r.along, r.side, r.up]),
    bowExpanded: rows.map((r) => [2 * r.sideU, 2 * r.upU]),
    ...(shoot.turn !== undefined && { turn: shoot.turn }),
    lies: shoot.rest.kind,
  };
}

/** A hard shadow goes on beyond the butt and passes for it: the end is no better known than that. */
function endInShadow(found: BlankOnMat): BlankOnMat {
  const { butt, blank } = found;
  return butt ? { ...found, butt: { ...butt, u: Math.hypot(butt.u, mirroredShare * blank.buttDiameter) } } : found;
}

const unclear = (rows: readonly ShapeRow[]): ShapeRow[] => rows.filter((r) => 2 * r.diameterU > measured.clear);

function shapeNotes({ butt, rod, outlinesTo }: BlankOnMat, rows: readonly ShapeRow[], limbHidden: boolean) {
  const notes: string[] = [];
  if (limbHidden)
    notes.push(
      `A shadow touches the blank and hides one side of it, so its diameters are known no better than to ${Math.max(...rows.map((r) => 2 * r.diameterU)).toFixed(1)} mm: shoot again in softer light, or with the light along the blank.`,
    );
  const open = limbHidden ? [] : unclear(rows);
  if (open.length > 0)
    notes.push(
      `From ${open[0]!.along} to ${open.at(-1)!.along} mm the diameter is known to ${Math.max(...open.map((r) => 2 * r.diameterU)).toFixed(1)} mm only, for no photo shows both sides of the blank there clearly: one more photo from straight above it.`,
    );
  if (rod.blank.grip !== undefined)
    notes.push(
      'The grip covers the butt end, so the length is not known; diameters and bow are told from the tip to the grip.',
    );
  else if (!butt)
    notes.push(
      `The butt end was not made out beyond ${outlinesTo.toFixed(0)} mm, so the length is not known: take one more photo over it, with a hand’s breadth of white paper beyond.`,
    );
  notes.push(
    'Sideways, the bow is the blank’s own: nothing pulls it aside on a level mat. Up and down it is the shape as it lies, which its weight and what it rests on bend as well.',
  );
  return notes;
}
