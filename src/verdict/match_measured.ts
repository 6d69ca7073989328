import { planStart, type Plan, type Position, ringOf } from '../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { type GuideIdentity, identifyGuide } from './guide_identity.ts';
import { jointedShoot } from './jointed_shoot.ts';
import { type JudgedJoints, judgeJoints } from './joints.ts';
import { type Matching, matchPlaces } from './match.ts';
import type { MeasuredPlace, MeasuredShoot } from './measured_shoot.ts';
import { findPatterns, type Pattern } from './pattern.ts';
import { rollReferenceOf, type RollReferenceFound, rollsFromReference } from './relative_rolls.ts';

/** What was measured, held against the places of a plan before anything is decided. */
export interface Matched {
  /** what is looked for: every position of a marks shoot, of a rings shoot the guides; in the plan's order */
  positions: readonly Position[];
  /** where the plan's counting starts on what lay on the mat, mm */
  start: number;
  matching: Matching;
  /** what rolls are counted from; undefined where they are not */
  rollZero: RollReferenceFound | undefined;
  /** by the planned id; rolls counted from the reference */
  found: ReadonlyMap<string, MeasuredPlace>;
  /** which guide each found place carries, by the planned id */
  identities: ReadonlyMap<string, GuideIdentity>;
  jointed: JudgedJoints;
  patterns: Pattern[];
}

/** Which measured place is which planned one, and what the places have in common. */
export function matchMeasured(plan: Plan, shoot: Shoot, measured: MeasuredShoot): Matched {
  const start = measured.start ?? planStart(plan);
  const positions = plan.positions.filter((p) => shoot.stage === 'marks' || p.kind === 'guide');
  const matching = match(plan, shoot, positions, measured, start);
  const rollZero = rollReferenceOf(
    shoot,
    measured.places.map(({ roll }, i) => {
      const pair = matching.pairs.find(({ found: own }) => own === i);
      return { ...(roll && { roll }), planned: pair ? (positions[pair.planned]!.guide?.roll ?? 0) : 0 };
    }),
  );
  const places = rollsFromReference(measured.places, rollZero);
  const found = new Map(matching.pairs.map((pair) => [positions[pair.planned]!.id, places[pair.found]!]));
  return {
    positions,
    start,
    matching,
    rollZero,
    found,
    identities: guidesAreOn(shoot.stage) ? identitiesOf(positions, found) : new Map(),
    jointed: judgeJoints(plan, jointedShoot(plan, shoot, { measured, matching, positions, start })),
    patterns: patternsOf(plan, positions, found, measured, start),
  };
}

function identitiesOf(
  positions: readonly Position[],
  found: ReadonlyMap<string, MeasuredPlace>,
): Map<string, GuideIdentity> {
  const guides = positions.flatMap((p) => (p.guide ? [{ id: p.id, guide: p.guide }] : []));
  return new Map(
    guides.flatMap(({ id }): [string, GuideIdentity][] => {
      const place = found.get(id);
      return place ? [[id, identifyGuide(id, guides, place)]] : [];
    }),
  );
}

function match(
  plan: Plan,
  shoot: Shoot,
  positions: readonly Position[],
  measured: MeasuredShoot,
  start: number,
): Matching {
  return matchPlaces(
    positions.map((p) => ({
      id: p.id,
      at: p.at - start,
      ring: guidesAreOn(shoot.stage) ? ringOf(p.guide) : undefined,
      seen: (measured.shown[p.id]?.photos.length ?? 0) > 0,
    })),
    measured.places.map((p) => ({ ...p, forId: typeof p.byHand === 'string' ? p.byHand : undefined })),
    plan.blank.length,
  );
}

function patternsOf(
  plan: Plan,
  positions: readonly Position[],
  found: ReadonlyMap<string, MeasuredPlace>,
  measured: MeasuredShoot,
  start: number,
): Pattern[] {
  const tip = measured.tip ?? 0;
  const items = positions.flatMap((position) => {
    const place = found.get(position.id);
    if (!place) return [];
    const at = position.at - start;
    // What all places share must not count once more as each one's own.
    const own = place.along.u ** 2 - (measured.scale.u * place.along.value) ** 2 - tip ** 2;
    return [{ id: position.id, at, found: place.along.value, u: Math.sqrt(Math.max(own, 0.03 ** 2)) }];
  });
  return findPatterns(items, plan.blank.length, { scale: measured.scale.u, tip });
}
