import { type BendCase, type Load } from '../bend/bent_rod.ts';
import { bendFindings } from '../findings/bend_findings.ts';
import { layOutByBend } from '../bend/bend_layout.ts';
import { cautionsFor, type Occasion } from '../findings/cautions.ts';
import { type Bend, solveBend } from '../bend/elastica.ts';
import type { Finding } from '../findings/finding.ts';
import { usualWraps, type WrapPractice } from '../foot.ts';
import { type GrowthCase, layOutByGrowth } from './growth_layout.ts';
import { fitHangTest, type FittedStiffness, type HangTest } from '../bend/hang_measurement.ts';
import { InputError } from '../input_error.ts';
import { type LengthDisplay, shortened } from '../lengths/length_text.ts';
import { type ConeRing, placeOnCone, type SpoolCase } from './line_cone.ts';
import { type GuideSide, lineHeight, lineRun } from '../bend/line_run.ts';
import { type MarkDatum, type MarkList, markList, usualDivision } from './mark_list.ts';
import type { ListChoices } from '../lists/list_questions.ts';
import { type PastedLine, readPastedList } from '../lists/pasted_list.ts';
import { type Guide, openingOf, type Plan, type Position } from '../plan.ts';
import { parsePlan, planToFile } from '../files/plan_file.ts';
import { type BagEntry, planFindings } from '../findings/plan_findings.ts';
import type { Stiffness } from '../bend/stiffness.ts';
import { type DiameterStation, taper } from '../taper.ts';
import { displayOf, roundPositions, type TapeDivision } from '../lengths/tape_reading.ts';

/** What a builder wants laid out: the plan but for the guides' positions, and how these are found; mm, newtons, degrees. */
export interface LayoutSpec {
  plan: Omit<Plan, 'positions'>;
  /** from tip to butt; without ids they are G1, G2, and so on */
  guides: { id?: string; guide: Guide }[];
  /** tip wrap, ferrule wraps, hook keeper */
  others: Position[];
  layout: EnteredLayout | ({ kind: 'growth' } & Omit<GrowthCase, 'guides'>) | BendSpec;
  /** positions are rounded to it where given */
  division?: TapeDivision;
  datum?: MarkDatum;
  bag?: BagEntry[];
  wraps?: WrapPractice;
  /** the choke is one of the guides, by its id */
  spool?: Omit<SpoolCase, 'choke'> & { choke: string };
  /** carbon is assumed where nothing is said */
  material?: 'carbon' | 'glass' | 'other';
}

export type EnteredLayout = { kind: 'entered' } & ({ at: number[] } | { text: string; choices?: ListChoices });

export interface BendSpec {
  kind: 'bend';
  /** where stiffness comes from; diameters along the blank default to a straight taper from tip to butt */
  rod: { stations?: DiameterStation[] } & ({ modulus: number; wall?: number } | { hangTest: HangTest });
  load: Load;
  side: GuideSide;
  clampAt: number;
  reel: { at: number; height: number };
  /** the tip-top's ring; on the blank's surface where not said */
  tipTop?: { height: number; ringInner: number };
  first?: number;
  last?: number;
  shares?: number[];
  /** bends the rod with the guides at these places, tip to butt, instead of finding places */
  at?: number[];
}

export interface LayoutResult {
  plan: Plan;
  list: MarkList;
  findings: Finding[];
  notes: string[];
  cautions: string[];
  /** how a pasted text was read */
  lines?: PastedLine[];
  /** first gap and growth, as solved */
  growth?: { kind: GrowthCase['growth']; firstGap: number; growth: number };
  /** the bent rod at the positions of the plan, and the case it was solved for */
  bend?: { bend: Bend; bendCase: BendCase; fitted?: FittedStiffness };
  cone?: { id: string; ring: ConeRing }[];
}

/** Lays guides out, rounds, checks, and lists the marks. Throws InputError where it cannot. */
export function layOut(spec: LayoutSpec): LayoutResult {
  const found = positionsFor(spec);
  const division = spec.division;
  const at = division ? roundPositions(found.at, division) : found.at;
  const labels = found.labels ?? [];
  const guides: Position[] = spec.guides.map(({ id, guide }, k) => ({
    id: id ?? labels[k] ?? `G${k + 1}`,
    kind: 'guide',
    at: at[k]!,
    guide,
  }));
  // through the file and back: what is handed over is what the file will say, and it can be read
  const plan = parsePlan(planToFile({ ...spec.plan, positions: [...spec.others, ...guides] }), 'The plan laid out');
  const display: LengthDisplay = division ? displayOf(division) : plan.unit;
  const wraps = spec.wraps ?? usualWraps;
  const ids = guides.map((guide) => guide.id);
  const occasions: Occasion[] = [
    ...(spec.layout.kind === 'bend' ? (['load-rod'] as const) : []),
    ...((spec.material ?? 'carbon') === 'carbon' ? (['carbon-blank'] as const) : []),
    'solvent',
    'blade',
    'epoxy',
  ];
  const result: LayoutResult = {
    plan,
    list: markList(plan, {
      division: division ?? usualDivision(plan),
      wraps,
      ...(spec.datum && { datum: spec.datum }),
    }),
    findings: planFindings(plan, { wraps, display, ...(spec.bag && { bag: spec.bag }) }),
    notes: found.notes ?? [],
    cautions: cautionsFor(occasions),
    ...(found.lines && { lines: found.lines }),
    ...(found.growth && { growth: found.growth }),
  };
  if (found.bendCase && spec.layout.kind === 'bend') {
    const bendCase = found.bendCase(at);
    const bend = solveBend(bendCase);
    result.findings.push(...bendFindings(bendCase, bend, ids, display));
    result.bend = { bend, bendCase, ...(found.fitted && { fitted: found.fitted }) };
  }
  if (spec.spool) result.cone = coneFor(spec.spool, guides);
  return result;
}

interface Found {
  at: number[];
  labels?: (string | undefined)[];
  notes?: string[];
  lines?: PastedLine[];
  growth?: { kind: GrowthCase['growth']; firstGap: number; growth: number };
  bendCase?: (at: readonly number[]) => BendCase;
  fitted?: FittedStiffness;
}

function positionsFor({ layout, guides, plan }: LayoutSpec): Found {
  if (guides.length === 0) throw new InputError('The layout has no guides; describe at least one ring.');
  if (layout.kind === 'entered') return entered(layout, guides.length, plan);
  if (layout.kind === 'growth') {
    const { at, firstGap, growth } = layOutByGrowth({ ...layout, guides: guides.length });
    return { at, growth: { kind: layout.growth, firstGap, growth } };
  }
  const stations =
    layout.rod.stations ??
    taper(plan.blank, plan.section?.startsAt, 'wall' in layout.rod ? layout.rod.wall : undefined);
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
  const { clampAt, load, first, last, shares } = layout;
  const laid = layout.at
    ? { at: counted(layout.at, guides.length), notes: [] }
    : layOutByBend({
        ...run,
        clampAt,
        load,
        ...(first !== undefined && { first }),
        ...(last !== undefined && { last }),
        ...(shares && { shares }),
      });
  return {
    at: laid.at,
    notes: laid.notes,
    bendCase: (at) => ({ stiffness, clampAt, load, line: lineRun(run, at) }),
    ...(fitted && { fitted }),
  };
}

function entered(layout: EnteredLayout, guides: number, plan: LayoutSpec['plan']): Found {
  if ('at' in layout) return { at: counted(layout.at, guides) };
  const { blank, section, fittings = [], unit } = plan;
  const start = section?.startsAt ?? 0;
  const ferrule = start > 0 ? start : fittings.find(({ kind }) => kind === 'ferrule')?.from;
  const { lines, questions } = readPastedList(layout.text, {
    unit,
    end: start + blank.length,
    ...(ferrule !== undefined && { ferrule }),
    ...(layout.choices && { choices: layout.choices }),
  });
  const problem = lines.find((line) => line.outcome === 'problem');
  if (problem)
    throw new InputError(`Line ${problem.line} of the list, "${shortened(problem.text.trim())}": ${problem.why}.`);
  const [question] = questions;
  if (question) {
    const answers = question.answers.map(({ value }) => `"${question.about}": "${value}"`).join(' or ');
    throw new InputError(`The list can be read in two ways. ${question.text} Add ${answers} beside its text.`);
  }
  const places = lines
    .flatMap((line) => (line.outcome === 'position' ? [line] : []))
    .filter(({ kind = 'guide' }) => kind === 'guide')
    .toSorted((a, b) => a.mm - b.mm);
  return {
    at: counted(
      places.map(({ mm }) => mm),
      guides,
    ),
    labels: places.map(({ label }) => label),
    lines,
  };
}

function counted(at: number[], guides: number): number[] {
  if (at.length === guides) return at;
  throw new InputError(`There are ${at.length} distances for ${guides} guides; give one for each.`);
}

function coneFor({ choke, ...spool }: NonNullable<LayoutSpec['spool']>, guides: readonly Position[]) {
  const end = guides.find((guide) => guide.id === choke);
  if (!end?.guide)
    throw new InputError(`The spool's cone ends in "${choke}", which is no guide of this layout; name one of them.`);
  const inside = guides.filter((guide) => guide.at > end.at);
  const rings = placeOnCone(
    { ...spool, choke: { at: end.at, ...openingOf(end.guide) } },
    inside.map((guide) => openingOf(guide.guide!)),
  );
  return inside.map((guide, k) => ({ id: guide.id, ring: rings[k]! }));
}
