import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import type { Plan } from '../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { adviceForExtra } from './advice.ts';
import { coverageFactor } from './decision.ts';
import { shifted } from './expanded.ts';
import { decideItems } from './decide_items.ts';
import { explainItems } from './explain_items.ts';
import { jointSentences } from './joint_sentences.ts';
import { tipTopInLine } from './joints.ts';
import { type Matched, matchMeasured } from './match_measured.ts';
import type { MeasuredShoot } from './measured_shoot.ts';
import { nextPhotoOf } from './next_photo.ts';
import { withShortNames } from './short_names.ts';
import type { Report, ReportExtra, ReportItem } from './report.ts';
import { rodVerdict } from './rod_verdict.ts';
import { judgeTipTop } from './tip_top.ts';
import { isMostlyUnclear } from './sighting.ts';
import { reportSlides, slideNote, verdictAfterSlides } from './slides.ts';
import { wholeRodNotes } from './whole_rod_notes.ts';
import { displayOf } from './wording.ts';

export interface JudgeOptions {
  /** how lengths are said; the plan's own unit when absent */
  display?: LengthDisplay;
  /** rings: the report of an earlier marks shoot of the same rod */
  earlierMarks?: Report;
}

/**
 * Holds what was measured against the plan: matching, decisions with guard bands, likely causes, advice, the whole
 * rod's verdict. In a marks shoot every position is an item, in a rings shoot the guides are. Report lengths are mm
 * counted as the plan counts them (from the rod's tip, where the plan is for one section).
 */
export function judge(plan: Plan, shoot: Shoot, measured: MeasuredShoot, options: JudgeOptions = {}): Report {
  const display = options.display ?? displayOf(plan);
  const matched = matchMeasured(plan, shoot, measured);
  const { matching, jointed } = matched;
  const decided = decideItems(plan, shoot, matched, measured);
  // What was found where most places are not made out may be something else, and no pattern of the builder's.
  const patterns = isMostlyUnclear(decided) ? [] : matched.patterns;
  const missingReference = referenceMissing(shoot, measured, decided) ? shoot.rollReference : undefined;
  const scaleShared = measured.scale.tape !== undefined;
  const circumstances = { tolerance: plan.tolerance, missingReference, scaleShared };
  const nextPhoto = nextPhotoOf({ items: decided, matching, measured }, circumstances);
  const items = explainItems(decided, {
    plan,
    shoot,
    measured,
    matched,
    display,
    earlierMarks: options.earlierMarks,
    circumstances,
    nextPhoto,
  });
  const tipTop = tipTopOf(plan, shoot, measured, matched);
  const extras = extrasOf(shoot, measured, matched, { display, doubted: isMostlyUnclear(items) });
  const slides = reportSlides(measured.slides);
  const { joints } = jointed;
  const { scale } = measured;
  const rod = rodVerdict(shoot.stage, items, extras, scale.measured, { tipTop, joints });
  return withShortNames({
    schema: 'prewrap.report/1',
    unit: 'mm',
    stage: shoot.stage,
    verdict: verdictAfterSlides(rod, slides),
    items,
    extras,
    photos: measured.photos,
    scale: {
      along: scale.along,
      across: scale.across,
      expanded: coverageFactor * scale.u,
      ...(scaleShared && { shared: true as const }),
    },
    ...aboutTheMat(measured),
    notes: [
      ...wholeRodNotes(
        { stage: shoot.stage, items, extras, patterns, scaleMeasured: scale.measured, missingReference },
        options.earlierMarks,
        display,
      ),
      ...joints.flatMap((joint) => jointSentences(joint, plan.tolerance, display)),
      ...slides.map((slide) => slideNote(slide, display)),
      ...measured.notes,
    ],
    ...(patterns.length > 0 && { patterns }),
    ...(tipTop && { tipTop }),
    ...(slides.length > 0 && { slides }),
    ...(joints.length > 0 && { joints }),
    ...pieceOf(plan),
    ...(typeof nextPhoto === 'object' && { nextPhoto }),
  });
}

/** What the photos told of mat and cameras, beside places. */
const aboutTheMat = ({
  flatWithin,
  profiles,
  halves,
}: MeasuredShoot): Pick<Report, 'flatWithin' | 'profiles' | 'halves'> => ({
  ...(flatWithin !== undefined && { flatWithin }),
  ...(profiles?.length && { profiles }),
  ...(halves && { halves }),
});

const pieceOf = ({ section }: Plan): Pick<Report, 'piece'> =>
  section?.piece === undefined ? {} : { piece: { number: section.piece, of: section.of ?? section.piece } };

function tipTopOf(plan: Plan, shoot: Shoot, measured: MeasuredShoot, { rollZero, jointed }: Matched) {
  if (!plan.tipTop || !guidesAreOn(shoot.stage)) return undefined;
  const judged = judgeTipTop(plan.tipTop, plan.tolerance, measured.tipTop, shoot.rollReference, rollZero);
  return tipTopInLine(judged, jointed, plan);
}

/** The reference asked for gave no ring a roll; the rings' own line fails so only where a single ring is seen. */
function referenceMissing(shoot: Shoot, { places }: MeasuredShoot, items: readonly ReportItem[]): boolean {
  if (shoot.stage === 'marks' || !items.some((i) => i.found) || items.some((i) => i.roll)) return false;
  return shoot.rollReference !== 'guides' || places.filter((p) => p.roll).length === 1;
}

/** What was found where nothing is planned, or twice. */
const extrasOf = (
  shoot: Shoot,
  measured: MeasuredShoot,
  { matching, positions, start }: Matched,
  { display, doubted }: { display: LengthDisplay; doubted: boolean },
): ReportExtra[] =>
  matching.extra.map((index) => {
    const double = matching.doubled.find((d) => d.found === index);
    const extra: ReportExtra = {
      kind: shoot.stage === 'marks' ? 'mark' : 'ring',
      along: shifted(measured.places[index]!.along, start),
      ...(double && { doubleOf: positions[double.planned]!.id }),
    };
    return { ...extra, advice: adviceForExtra(extra, display, doubted) };
  });
