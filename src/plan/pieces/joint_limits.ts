import { formatLength } from '../lengths/length_text.ts';
import { type Joint, type Plan, planStart } from '../plan.ts';
import { jointStretch, reachAt } from './joint.ts';

/** The least a piece may be long, mm: a shorter one is most likely a slip in a joint's place. */
const shortestPiece = 100;

/** What a joint may measure, mm: a longer one is most likely a place taken for a length. */
export const jointLimits = {
  length: { least: 5, most: 500 },
  gap: { least: 0, most: 50 },
  play: { least: 0, most: 50 },
} as const;

/** What is wrong with a joint's gap, after its name; mm. */
export function gapProblem({ kind, gap = 0, length }: Pick<Joint, 'kind' | 'length'> & { gap?: number | undefined }) {
  if (gap > 0 && kind === 'sleeve')
    return 'shows at a spigot only; leave it out, and let "length" be how far one piece reaches into the other';
  return gap >= length ? 'is as long as the spigot, which would not reach; measure both again' : undefined;
}

/** What is wrong with a joint's play, after its name. */
export const playProblem = ({ kind, play = 0 }: { kind: Joint['kind']; play?: number | undefined }) =>
  play > 0 && kind === 'spigot'
    ? 'belongs to a sleeve; leave it out, and let "gap" be how far it may close'
    : undefined;

/**
 * The first thing about a plan's joints that no rod has: they lie on the rod, from tip to butt, far enough apart for a
 * piece between them, and no place in a gap, where there is nothing to wrap on; those of a plan for one section lie at
 * its ends.
 */
export function jointProblem(plan: Plan): { place: string; why: string } | undefined {
  const { joints = [], section, unit } = plan;
  const words = (mm: number) => formatLength(mm, unit);
  const start = planStart(plan);
  const end = start + plan.blank.length;
  for (const [index, joint] of joints.entries()) {
    const gap = gapProblem(joint);
    if (gap) return { place: `joints[${index}], gap`, why: gap };
    const play = playProblem(joint);
    if (play) return { place: `joints[${index}], play`, why: play };
    const place = `joints[${index}], at`;
    const { from, to } = jointStretch(joint);
    const { tipPieceTo, buttPieceFrom } = reachAt(joint);
    if (section) {
      if (Math.min(Math.abs(buttPieceFrom - start), Math.abs(tipPieceTo - end)) > 0.5)
        return {
          place,
          why: `a plan for one section names the joints at its ends, ${words(start)} and ${words(end)}; correct the place, or leave "section" out in the plan of a whole rod`,
        };
      continue;
    }
    const before = joints[index - 1];
    const least = before ? jointStretch(before).to : start;
    if (from - least < shortestPiece || (index === joints.length - 1 && end - to < shortestPiece))
      return {
        place,
        why: `${words(joint.at)} leaves less than ${words(shortestPiece)} for a piece beside it; list the joints from tip to butt and check the place and the length of the blank`,
      };
  }
  for (const { id, at } of plan.positions) {
    const joint = joints.find(({ at: edge, gap = 0 }) => at > edge && at < edge + gap);
    if (joint)
      return {
        place: `positions "${id}", at`,
        why: `${words(at)} lies in the gap of the joint at ${words(joint.at)}, where nothing can be wrapped; correct the distance, or the joint`,
      };
  }
  return undefined;
}
