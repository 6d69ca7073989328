import type { Stretch } from '../stretch.ts';
import { type BagEntry, bagFindings } from './bag_findings.ts';
import { type Finding, lengthWords, ringWords } from './finding.ts';
import { fittingNames, jointFindings, wrapBesideJoint } from './joint_findings.ts';
import { turnedLineFindings } from './turned_line.ts';
import { trainFindings } from './train_findings.ts';
import { tubeFindings } from '../bench/tip_top_tube.ts';
import { underwrapOf } from '../bench/underwraps.ts';
import { plausibilityFindings, ringsRunDown } from './plausibility.ts';
import { feetOf, usualWraps, type WrapPractice, wrapsOf } from '../foot.ts';
import type { LengthDisplay } from '../lengths/length_text.ts';
import { type Piece, piecesOf } from '../pieces/pieces.ts';
import { type Plan, type Position, ringOf } from '../plan.ts';
import { withShownNames } from '../shown_name.ts';

/** Two rings whose outer diameters differ by less than this are of one size: what a calliper in a hurry reads, mm. */
const sameSize = 0.3;
/** A gap may fall short of the one before it by what marking alone brings, mm. */
const markingSlack = 0.8;

const guidesOf = (plan: Plan) => plan.positions.filter((position) => position.kind === 'guide');

/**
 * Everything about a plan that can be checked without a photo. Positions are taken in the order they are listed.
 * Findings come in the order of the rod within each rule.
 */
export function planFindings(
  plan: Plan,
  {
    bag,
    wraps = usualWraps,
    display = plan.unit,
    markedTo = 0,
  }: {
    bag?: readonly BagEntry[];
    wraps?: WrapPractice;
    display?: LengthDisplay;
    /** places are rounded to it, mm: gaps that shrink by no more are none that shrink */
    markedTo?: number;
  } = {},
): Finding[] {
  const words = (mm: number) => lengthWords(mm, display);
  const guides = guidesOf(plan);
  return [
    ...(bag ? bagFindings(guides, bag) : []),
    ...orderFindings(guides, words),
    ...gapFindings(plan, guides, words, Math.max(markingSlack, markedTo + 1e-6)),
    ...ringFindings(guides, words),
    ...trainFindings(plan, display),
    ...tubeFindings(plan),
    ...plausibilityFindings(plan, display),
    ...turnedLineFindings(plan, display),
    ...overlapFindings(plan, wraps, words),
    ...ferruleFindings(plan, guides, wraps, words),
    ...jointFindings(plan, wraps, display),
  ].map((finding) => ({
    ...finding,
    text: withShownNames(finding.text, finding.items),
    cure: withShownNames(finding.cure, finding.items),
  }));
}

type Words = (mm: number) => string;
function orderFindings(guides: readonly Position[], words: Words): Finding[] {
  return guides.slice(1).flatMap((guide, k): Finding[] => {
    const before = guides[k]!;
    if (guide.at > before.at) return [];
    return [
      {
        rule: 'order',
        weight: 'fault',
        items: [before.id, guide.id],
        by: before.at - guide.at,
        text: `${guide.id} at ${words(guide.at)} is not beyond ${before.id} at ${words(before.at)}.`,
        cure: 'Correct the distance, or list the guides from tip to butt.',
      },
    ];
  });
}

function gapFindings(plan: Plan, guides: readonly Position[], words: Words, slack: number): Finding[] {
  // a section that begins at a ferrule does not show the guide before its first
  const fromTip = (plan.section?.startsAt ?? 0) === 0;
  return guides.slice(1).flatMap((guide, k): Finding[] => {
    const before = guides[k]!;
    if (k === 0 && !fromTip) return [];
    const gap = guide.at - before.at;
    const gapBefore = before.at - (guides[k - 1]?.at ?? 0);
    if (gap <= 0 || gapBefore - gap <= slack) return [];
    return [
      {
        rule: 'gap-shrinks',
        weight: 'look',
        items: [before.id, guide.id],
        by: gapBefore - gap,
        text: `The gap from ${before.id} to ${guide.id}, ${words(gap)}, is ${words(gapBefore - gap)} shorter than the one before it.`,
        cure: 'Read both distances again; gaps usually grow toward the butt.',
      },
    ];
  });
}

function ringFindings(guides: readonly Position[], words: Words): Finding[] {
  const outOfOrder = (ringsRunDown(guides) ? [] : guides.slice(1)).flatMap((position, k): Finding[] => {
    const before = guides[k]!;
    const [larger, smaller] = [ringOf(before.guide), ringOf(position.guide)];
    if (!larger || !smaller) return [];
    const more = larger.ringOuter - smaller.ringOuter;
    if (more < sameSize) return [];
    return [
      {
        rule: 'ring-sizes',
        weight: 'look',
        items: [before.id, position.id],
        by: more,
        text: `${before.id} has a larger ring (${ringWords(larger.ringOuter)}) than ${position.id} (${ringWords(smaller.ringOuter)}), which stands nearer the butt.`,
        cure: 'Exchange the two, or correct their sizes.',
      },
    ];
  });
  const low = guides.flatMap((position): Finding[] => {
    const ring = ringOf(position.guide);
    if (!ring) return [];
    const { ringOuter, height, lean } = ring;
    const needed = (ringOuter / 2) * Math.cos((lean * Math.PI) / 180);
    if (needed - height <= 0.2) return [];
    return [
      {
        rule: 'ring-low',
        weight: 'fault',
        items: [position.id],
        by: needed - height,
        text: `The ring of ${position.id} would stand ${words(needed - height)} inside the blank.`,
        cure: 'Measure the height again, from the blank to the middle of the ring.',
      },
    ];
  });
  return [...outOfOrder, ...low];
}

interface Claim extends Stretch {
  /** the position or fitting it belongs to */
  owner: string;
  name: string;
  items: string[];
  hard: boolean;
  /** a ferrule and the wrap over it share their place by right */
  ferrule?: true;
}

function claimsOf(plan: Plan, practice: WrapPractice): Claim[] {
  const positions = plan.positions.flatMap((position): Claim[] => {
    const ofFerrule = position.kind === 'ferrule-wrap' && ({ ferrule: true } as const);
    const own = { owner: position.id, items: [position.id], ...ofFerrule };
    const feet = feetOf(position).map((s) => ({ ...own, ...s, name: `the foot of ${position.id}`, hard: true }));
    const wraps = wrapsOf(position, plan, practice).map((s) => ({
      ...own,
      ...s,
      name: position.kind === 'hook-keeper' ? `the hook keeper ${position.id}` : `the wrap of ${position.id}`,
      hard: position.kind === 'hook-keeper',
    }));
    const underwrap = underwrapOf(position, plan, practice);
    const under = underwrap ? [{ ...own, ...underwrap, name: `the underwrap of ${position.id}`, hard: false }] : [];
    if (feet.length + wraps.length > 0) return [...feet, ...wraps, ...under];
    return [{ ...own, from: position.at, to: position.at, name: `the mark of ${position.id}`, hard: true }];
  });
  const fittings = (plan.fittings ?? []).map(
    (fitting, k): Claim => ({
      owner: `fitting ${k}`,
      from: fitting.from,
      to: fitting.to,
      name: fittingNames[fitting.kind],
      items: [],
      hard: true,
      ...(fitting.kind === 'ferrule' && { ferrule: true as const }),
    }),
  );
  return [...positions, ...fittings];
}

function overlapFindings(plan: Plan, practice: WrapPractice, words: Words): Finding[] {
  const claims = claimsOf(plan, practice);
  const findings: Finding[] = [];
  const said = new Map<string, Finding>();
  for (const [k, a] of claims.entries()) {
    for (const b of claims.slice(k + 1)) {
      if (a.owner === b.owner || a.items.length + b.items.length === 0 || (a.ferrule && b.ferrule)) continue;
      const shared = Math.min(a.to, b.to) - Math.max(a.from, b.from);
      const inside = a.from === a.to || b.from === b.to;
      if (inside ? shared < 0 || b.items.length + a.items.length === 2 : shared <= 0.05) continue;
      const finding: Finding = {
        rule: 'overlap',
        weight: a.hard && b.hard ? 'fault' : 'look',
        items: [...a.items, ...b.items],
        by: shared,
        text: inside
          ? `${upper(a.name)} lies inside ${b.name}.`
          : `${upper(a.name)} and ${b.name} overlap by ${words(shared)}.`,
        cure: inside
          ? 'Correct the distance, or the place of the fitting.'
          : `Move them ${words(shared)} apart, or shorten a foot or its wrap.`,
      };
      // of one pair only the worst is said: a foot's overlap implies its wrap's
      const pair = `${a.owner}|${b.owner}`;
      const earlier = said.get(pair);
      if (!earlier) findings.push(finding);
      else if (earlier.weight === finding.weight ? finding.by > earlier.by : finding.weight === 'fault') {
        findings[findings.indexOf(earlier)] = finding;
      } else continue;
      said.set(pair, finding);
    }
  }
  // what runs over a joint is told as that
  const joined = (plan.joints?.length ?? 0) > 0;
  const [piece] = piecesOf(plan) as [Piece];
  const start = joined && plan.section?.startsAt ? -Infinity : (plan.section?.startsAt ?? 0);
  const end =
    joined && plan.section && piece.buttSide !== 'butt' ? Infinity : (plan.section?.startsAt ?? 0) + plan.blank.length;
  for (const claim of claims) {
    const over = Math.max(start - claim.from, claim.to - end);
    if (over <= 0.05 || claim.items.length === 0) continue;
    findings.push({
      rule: 'off-blank',
      weight: 'fault',
      items: claim.items,
      by: over,
      text: `${upper(claim.name)} would run ${words(over)} off the end of the blank.`,
      cure: 'Move it inward, or correct the length of the blank.',
    });
  }
  return findings;
}

const upper = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

function ferruleFindings(plan: Plan, guides: readonly Position[], practice: WrapPractice, words: Words): Finding[] {
  const ferrules = (plan.fittings ?? []).filter((fitting) => fitting.kind === 'ferrule');
  return guides.flatMap((guide) =>
    ferrules.flatMap((ferrule): Finding[] => {
      const wraps = wrapsOf(guide, plan, practice);
      const own = wraps.length > 0 ? wraps : [{ from: guide.at, to: guide.at }];
      const room = Math.min(...own.map((wrap) => Math.max(ferrule.from - wrap.to, wrap.from - ferrule.to)));
      if (room < 0 || room >= wrapBesideJoint) return [];
      return [
        {
          rule: 'near-ferrule',
          weight: 'look',
          items: [guide.id],
          by: wrapBesideJoint - room,
          text: `${guide.id} leaves ${words(room)} to the ferrule, where the ferrule's own wrap takes ${words(wrapBesideJoint)}.`,
          cure: `Move ${guide.id} ${words(wrapBesideJoint - room)} away from the ferrule, or wrap both in one.`,
        },
      ];
    }),
  );
}
