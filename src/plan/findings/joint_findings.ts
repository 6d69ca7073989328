import type { Stretch } from '../stretch.ts';
import { feetOf, type WrapPractice, wrapsOf } from '../foot.ts';
import type { LengthDisplay } from '../lengths/length_text.ts';
import { buttSideOf, jointStretch } from '../pieces/joint.ts';
import { jointProblem } from '../pieces/joint_limits.ts';
import type { Joint, Plan, Position } from '../plan.ts';
import { type Finding, lengthWords } from './finding.ts';

/** A half inch of wrap beside a ferrule or joint; common practice, no source. */
export const wrapBesideJoint = 12.7;

export const fittingNames = {
  ferrule: 'the ferrule',
  'winding-check': 'the winding check',
  grip: 'the grip',
  'reel-seat': 'the reel seat',
} as const;

/** Lengths below it come from rounding, mm. */
const noLength = 0.05;

/**
 * What would lie across a joint, so that the rod could not be taken apart; what stands on it, where one piece is stiff
 * with the other inside; and what leaves no room for the wrap beside it, which keeps the opening from splitting.
 */
export function jointFindings(plan: Plan, practice: WrapPractice, display: LengthDisplay): Finding[] {
  const words = (mm: number) => lengthWords(mm, display);
  const joints = plan.joints ?? [];
  const problem = joints.length > 0 ? jointProblem(plan) : undefined;
  // a file with it is refused; while a plan is being written it is said
  if (problem) {
    const [what, cure] = problem.why.split('; ') as [string, string];
    return [{ rule: 'on-joint', weight: 'fault', items: [], by: 0, text: `${upper(what)}.`, cure: `${upper(cure)}.` }];
  }
  return joints.flatMap((joint): Finding[] => {
    const name = joints.length === 1 ? 'the joint' : `the joint at ${words(joint.at)}`;
    return [
      ...plan.positions.flatMap((position) => positionFinding(position, plan, practice, { joint, name, words })),
      ...wearFindings(plan, { joint, name, words }),
      ...(plan.fittings ?? []).flatMap((fitting): Finding[] => {
        const over = Math.min(fitting.to - joint.at, buttSideOf(joint) - fitting.from);
        // the joint's own ferrule may stand among the fittings too
        if (fitting.kind === 'ferrule' || over <= noLength) return [];
        return [
          {
            rule: 'on-joint',
            weight: 'fault',
            items: [],
            by: over,
            text: `${upper(fittingNames[fitting.kind])} lies across ${name}, so that the rod could not be taken apart.`,
            cure: 'Correct the place of the one or the other.',
          },
        ];
      }),
    ];
  });
}

const upper = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

interface AtJoint {
  joint: Joint;
  name: string;
  words: (mm: number) => string;
}

/** Places beyond a joint that wears come nearer the tip, by more than counts as good enough. */
function wearFindings({ positions, section, tolerance }: Plan, { joint, name, words }: AtJoint): Finding[] {
  const { at, play = 0 } = joint;
  const beyond = section ? [] : positions.filter((position) => position.at >= at);
  if (play <= tolerance.along || beyond.length === 0) return [];
  return [
    {
      rule: 'joint-wear',
      weight: 'look',
      items: beyond.map(({ id }) => id),
      by: play,
      text: `As ${name} wears, what lies beyond it may come up to ${words(play)} nearer the tip, more than the ${words(tolerance.along)} that count as good enough.`,
      cure: 'Mark and check each piece by itself, from its own end.',
    },
  ];
}

function positionFinding(
  position: Position,
  plan: Plan,
  practice: WrapPractice,
  { joint, name, words }: AtJoint,
): Finding[] {
  const taken = [...feetOf(position), ...wrapsOf(position, plan, practice)];
  const own: Stretch = {
    from: Math.min(position.at, ...taken.map(({ from }) => from)),
    to: Math.max(position.at, ...taken.map(({ to }) => to)),
  };
  const { id } = position;
  const edge = buttSideOf(joint);
  const towardTip = position.at < edge;
  const over = towardTip ? own.to - joint.at : edge - own.from;
  if (over > noLength || (position.kind === 'guide' && over >= 0 && taken.length === 0))
    return [
      {
        rule: 'on-joint',
        weight: 'fault',
        items: [id],
        by: over,
        text: `${id} would reach ${words(Math.max(over, 0))} over the end of its piece at ${name}.`,
        cure: `Move it ${words(Math.max(over, 0) + wrapBesideJoint)} or more toward the ${towardTip ? 'tip' : 'butt'}.`,
      },
    ];
  if (position.kind !== 'guide') return [];
  const away = towardTip ? 'tip' : 'butt';
  const stretch = jointStretch(joint);
  const inside = Math.min(own.to, stretch.to) - Math.max(own.from, stretch.from);
  const clear = towardTip ? own.to - stretch.from : stretch.to - own.from;
  if (inside > noLength || (own.from === own.to && inside === 0))
    return [
      {
        rule: 'on-joint',
        weight: 'look',
        items: [id],
        by: clear,
        text: `${id} stands on ${name}, where one piece lies inside the other over ${words(stretch.to - stretch.from)}.`,
        cure: `Move it ${words(clear)} or more toward the ${away}, or let its wrap be the joint's own as well.`,
      },
    ];
  return roomFinding(id, towardTip ? joint.at - own.to : own.from - edge, towardTip, { joint, name, words });
}

/** What leaves too little room (mm) to its piece's end: for the opening that travels, or for the joint's own wrap. */
function roomFinding(id: string, room: number, towardTip: boolean, { joint, name, words }: AtJoint): Finding[] {
  const away = towardTip ? 'tip' : 'butt';
  // the opening travels over the piece that goes in
  const play = towardTip === (joint.inner === 'tip') ? (joint.play ?? 0) : 0;
  if (room < play)
    return [
      {
        rule: 'near-joint',
        weight: 'fault',
        items: [id],
        by: play - room,
        text: `${id} leaves ${words(room)} to the opening at ${name}, which may come ${words(play)} nearer as the joint wears, and would stop there.`,
        cure: `Move it ${words(play - room)} or more toward the ${away}.`,
      },
    ];
  if (room >= wrapBesideJoint) return [];
  return [
    {
      rule: 'near-joint',
      weight: 'look',
      items: [id],
      by: wrapBesideJoint - room,
      text: `${id} leaves ${words(room)} to the end of its piece at ${name}, where the joint's own wrap takes ${words(wrapBesideJoint)}.`,
      cure: `Move it ${words(wrapBesideJoint - room)} toward the ${away}, or wrap both in one.`,
    },
  ];
}
