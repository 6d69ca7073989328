import type { LayoutSpec } from './wanted_layout.ts';
import { answerBalance } from '../bench/balance.ts';
import { type TapeStrips, tapeStrips } from '../bench/tape_strips.ts';
import { type TipTopTube, tipTopTube } from '../bench/tip_top_tube.ts';
import { type BendUnderLoad, bendUnderRange, loadRange } from '../bend/load_range.ts';
import { loadFindings } from '../findings/load_findings.ts';
import { layOutUsual } from './usual_layout.ts';
import type { BendCase } from '../bend/bent_rod.ts';
import { bendFindings } from '../findings/bend_findings.ts';
import { layOutByBend } from '../bend/bend_layout.ts';
import { cautionsFor, type Occasion } from '../findings/cautions.ts';
import { type Bend, solveBend } from '../bend/elastica.ts';
import type { Finding } from '../findings/finding.ts';
import { usualWraps } from '../foot.ts';
import { type GrowthCase, layOutByGrowth } from './growth_layout.ts';
import { hangTestDoubt, type HangTestDoubt } from '../bend/hung_weight.ts';
import { fitHangTest, type FittedStiffness } from '../bend/hang_measurement.ts';
import { InputError } from '../input_error.ts';
import type { LengthDisplay } from '../lengths/length_text.ts';
import { axisMeetsBlank, type ConeRing, placeOnCone } from './line_cone.ts';
import { lineHeight, lineRun } from '../bend/line_run.ts';
import { type MarkList, markList, markLists, usualDivision } from './mark_list.ts';
import type { PastedLine } from '../lists/pasted_list.ts';
import { coneFindings } from './cone_findings.ts';
import { counted, enteredPositions } from './entered_layout.ts';
import { layOutSpiral } from './spiral_layout.ts';
import { refuseBeyondBlank } from './layout_limits.ts';
import { openingOf, type Plan, type Position, type TipTop } from '../plan.ts';
import { parsePlan, planToFile } from '../files/plan_file.ts';
import { planFindings } from '../findings/plan_findings.ts';
import type { Stiffness } from '../bend/stiffness.ts';
import { type DiameterStation, taper } from '../taper.ts';
import { displayOf, divisionLength, roundPositions } from '../lengths/tape_reading.ts';

export interface LayoutResult {
  plan: Plan;
  /** of the whole rod, along the rod put together */
  list: MarkList;
  /** one for each piece, where the rod comes apart */
  pieces?: MarkList[];
  findings: Finding[];
  notes: string[];
  cautions: string[];
  /** how a pasted text was read */
  lines?: PastedLine[];
  /** first gap and growth, as solved */
  growth?: { kind: GrowthCase['growth']; firstGap: number; growth: number };
  /** where the spool's axis meets the blank, mm from the tip, where its tilt is known and they meet */
  axisMeets?: number;
  /** strips of tape for the feet */
  tape: TapeStrips[];
  /** the tip-top of the set chosen, and the tube this blank wants; none for a section without the tip */
  tipTop?: { train?: TipTop; tube: TipTopTube };
  balance?: { point?: number; seat?: number };
  /** the bent rod at the positions of the plan, and the case it was solved for */
  bend?: { bend: Bend; bendCase: BendCase; fitted?: FittedStiffness; range: BendUnderLoad[] };
  cone?: { id: string; ring: ConeRing }[];
}

/** Lays guides out, rounds, checks, and lists the marks. Throws InputError where it cannot. */
export function layOut(spec: LayoutSpec): LayoutResult {
  refuseBeyondBlank(spec);
  const found = positionsFor(spec);
  const division = spec.division;
  const at = division ? roundPositions(found.at, division) : found.at;
  const labels = found.labels ?? [];
  const rolls = spec.spiral && layOutSpiral(spec.spiral, spec.guides.length);
  const guides: Position[] = spec.guides.map(({ id, guide }, k) => ({
    id: id ?? labels[k] ?? `G${k + 1}`,
    kind: 'guide',
    at: at[k]!,
    guide: rolls ? { ...guide, roll: rolls[k]! } : guide,
  }));
  // through the file and back: what is handed over is what the file will say, and it can be read
  const plan = parsePlan(planToFile({ ...spec.plan, positions: [...spec.others, ...guides] }), 'The plan laid out');
  const display: LengthDisplay = division ? displayOf(division) : plan.unit;
  const bent = bendOf(spec, found, guides, at, display);
  const cone = spec.spool && coneAnswer(spec.spool, guides, display);
  return {
    plan,
    ...listsOf(spec, plan),
    findings: [
      ...planFindings(plan, {
        wraps: spec.wraps ?? usualWraps,
        display,
        ...(division && { markedTo: divisionLength(division) }),
        ...(spec.bag && { bag: spec.bag }),
      }),
      ...(bent?.findings ?? []),
      ...(cone?.findings ?? []),
    ],
    notes: [...(found.notes ?? []), ...(found.bendCase && rolls ? [oneSideOnly] : [])],
    cautions: cautionsFor(occasionsOf(spec)),
    tape: tapeStrips(plan),
    ...tipTopFor(spec, plan),
    ...(spec.balance && { balance: answerBalance(spec.balance) }),
    ...(found.lines && { lines: found.lines }),
    ...(found.growth && { growth: found.growth }),
    ...(bent && { bend: bent.bend }),
    ...cone?.answer,
  };
}

/** The marks of the whole rod, and of each piece where it comes apart. */
function listsOf(spec: LayoutSpec, plan: Plan): Pick<LayoutResult, 'list' | 'pieces'> {
  const options = { division: spec.division ?? usualDivision(plan), wraps: spec.wraps ?? usualWraps };
  return {
    list: markList(plan, { ...options, ...(spec.datum && { datum: spec.datum }) }),
    ...(plan.joints?.length &&
      !plan.section && {
        pieces: markLists(plan, { ...options, ...(spec.datum?.from === 'butt' && { from: 'butt' }) }),
      }),
  };
}

const occasionsOf = ({ layout, material = 'carbon' }: LayoutSpec): Occasion[] => [
  ...(layout.kind === 'bend' ? (['load-rod'] as const) : []),
  ...(material === 'carbon' ? (['carbon-blank'] as const) : []),
  'solvent',
  'blade',
  'epoxy',
];

/** The rod bent at the places laid out, and what is found of it; nothing where the layout knows no load. */
function bendOf(
  { layout, material = 'carbon' }: LayoutSpec,
  found: Found,
  guides: readonly Position[],
  at: readonly number[],
  display: LengthDisplay,
): { bend: NonNullable<LayoutResult['bend']>; findings: Finding[] } | undefined {
  if (!found.bendCase || layout.kind !== 'bend') return undefined;
  const ids = guides.map((guide) => guide.id);
  const bendCase = found.bendCase(at);
  const bend = orDoubt(found.doubt, () => solveBend(bendCase));
  const range = bendUnderRange(bendCase, loadRange(layout.load, layout), bend);
  return {
    bend: { bend, bendCase, range, ...(found.fitted && { fitted: found.fitted }) },
    findings: [
      ...(found.doubt ? [{ rule: 'hang-test' as const, weight: 'fault' as const, items: [], ...found.doubt }] : []),
      ...bendFindings(bendCase, bend, ids, display),
      ...loadFindings(range, ids, material, display),
    ],
  };
}

/** Where the larger rings just take the cone of line, and what is found of it. */
function coneAnswer(
  described: NonNullable<LayoutSpec['spool']>,
  guides: readonly Position[],
  display: LengthDisplay,
): { answer: Pick<LayoutResult, 'cone' | 'axisMeets'>; findings: Finding[] } {
  const { spool, inside } = coneOf(described, guides);
  const axisMeets = axisMeetsBlank(spool);
  return {
    answer: {
      cone: placeOnCone(spool, inside).map((ring, k) => ({ id: inside[k]!.id, ring })),
      ...(axisMeets !== undefined && { axisMeets }),
    },
    findings: coneFindings(spool, inside, display),
  };
}

/** A tube of middling length, mm, where no tip-top is chosen; common practice, no source. */
const usualTube = 8;

function tipTopFor({ train }: LayoutSpec, plan: Plan): Pick<LayoutResult, 'tipTop'> {
  if (plan.section && plan.section.startsAt > 0) return {};
  const chosen = plan.tipTop ?? train?.tipTop;
  return {
    tipTop: { ...(chosen && { train: chosen }), tube: tipTopTube(plan, chosen?.tubeLength ?? usualTube) },
  };
}

const oneSideOnly =
  'The bend is worked out as if all guides stood on one side of the blank; the guides that walk round it are held against it unloaded.';

interface Found {
  at: number[];
  labels?: (string | undefined)[];
  notes?: string[];
  lines?: PastedLine[];
  growth?: { kind: GrowthCase['growth']; firstGap: number; growth: number };
  bendCase?: (at: readonly number[]) => BendCase;
  fitted?: FittedStiffness;
  doubt?: HangTestDoubt | undefined;
}

function positionsFor({ layout, guides, plan }: LayoutSpec): Found {
  if (guides.length === 0) throw new InputError('The layout has no guides; describe at least one ring.');
  if (layout.kind === 'entered') return enteredPositions(layout, guides.length, plan);
  if (layout.kind === 'growth') {
    const { at, firstGap, growth } = layOutByGrowth({ ...layout, guides: guides.length });
    return { at, growth: { kind: layout.growth, firstGap, growth } };
  }
  if (layout.kind === 'usual') {
    const { at, firstGap, growth, notes } = layOutUsual(layout, guides.length, plan);
    return { at, notes, growth: { kind: 'geometric', firstGap, growth } };
  }
  const wall = 'wall' in layout.rod ? layout.rod.wall : undefined;
  const stations = withWall(layout.rod.stations ?? taper(plan.blank, plan.section?.startsAt), wall);
  const fitted = 'hangTest' in layout.rod ? fitHangTest(stations, layout.rod.hangTest) : undefined;
  const stiffness: Stiffness =
    'hangTest' in layout.rod ? fitted!.stiffness : { stations, law: { kind: 'section', modulus: layout.rod.modulus } };
  const run = {
    stiffness,
    side: layout.side,
    lineHeights: guides.map(({ guide }) => lineHeight(openingOf(guide), layout.side)),
    tipHeight: layout.tipTop ? lineHeight(layout.tipTop, layout.side) : 0,
    reel: layout.reel,
  };
  const { clampAt, load, first, last, shares, gaps } = layout;
  const doubt = fitted && 'hangTest' in layout.rod ? hangTestDoubt(fitted.stiffness, layout.rod.hangTest) : undefined;
  const laid = orDoubt(doubt, () =>
    layout.at
      ? { at: counted(layout.at, guides.length), notes: [] }
      : layOutByBend({
          ...run,
          clampAt,
          load,
          ...(first !== undefined && { first }),
          ...(last !== undefined && { last }),
          ...(shares && { shares }),
          ...(gaps && { gaps }),
        }),
  );
  return {
    at: laid.at,
    notes: laid.notes,
    bendCase: (at) => ({ stiffness, clampAt, load, line: lineRun(run, at) }),
    ...(fitted && { fitted }),
    ...(doubt && { doubt }),
  };
}

/** A bend that fails while its hang test fits no blank is the hang test's slip, not the load's. */
function orDoubt<T>(doubt: HangTestDoubt | undefined, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (doubt && error instanceof InputError) throw new InputError(`${doubt.text} ${doubt.cure}`);
    throw error;
  }
}

/** The wall given for the whole rod counts where a place along it has none of its own. */
const withWall = (stations: readonly DiameterStation[], wall: number | undefined): DiameterStation[] =>
  stations.map((station) => (wall === undefined ? station : { wall, ...station }));

function coneOf({ choke, ...spool }: NonNullable<LayoutSpec['spool']>, guides: readonly Position[]) {
  const end = guides.find((guide) => guide.id === choke);
  if (!end?.guide)
    throw new InputError(`The spool's cone ends in "${choke}", which is no guide of this layout; name one of them.`);
  return {
    spool: { ...spool, choke: { at: end.at, ...openingOf(end.guide) } },
    inside: guides.flatMap(({ id, at, guide }) => (guide && at > end.at ? [{ id, at, ...openingOf(guide) }] : [])),
  };
}
