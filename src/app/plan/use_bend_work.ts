import { reason } from '../../plan/reason.ts';
import { useState } from 'react';
import type { LayoutResult } from '../../plan/layouts/layout.ts';
import type { LayoutSpec } from '../../plan/layouts/wanted_layout.ts';
import { plainGuide } from '../../plan/layouts/starting_guides.ts';
import { openingOf } from '../../plan/plan.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { useKeptChoice, useKeptValues } from '../fields/plan_fields.tsx';
import { problemWords } from '../words/problem_words.ts';
import { type BendInput, bendSpec, usualBend } from './plan_bend_input.ts';
import { useMaterial } from './plan_blank.tsx';
import { useRounding } from './plan_growth.tsx';
import { useLoads } from './plan_loads.tsx';

/** What is chosen rather than measured, kept beside the plan; the first is the usual one. */
export const useBendWhat = () => useKeptChoice('bend.what', ['place', 'list']);
export const useBendStiffness = () => useKeptChoice('bend.stiffness', ['modulus', 'hang']);
export const useBendSide = () => useKeptChoice('bend.side', ['top', 'underneath']);
export const useBendGaps = () => useKeptChoice('bend.gaps', ['grow', 'free']);

/** Where the list has no guide to liken it to, mm; common practice, no source. */
const usualTipTop = { height: 6, ringInner: 4 };

/** Rows of two numbers that a field of pairs may have. */
export const mostPairs = 8;

/** What the fields say now. */
export function useBendInput(): BendInput {
  const { plan, written } = useBuild().history.present;
  const value = useKeptValues();
  const number = (name: string) => value(`bend.${name}`);
  const pairs = (name: string) =>
    [...Array(mostPairs).keys()].flatMap((i) => {
      const [at, other] = [number(`${name}.${i}.at`), number(`${name}.${i}.other`)];
      return at === undefined || other === undefined ? [] : [{ at, other }];
    });
  const guides = plan.positions.filter((position) => position.kind === 'guide');
  const like = guides[0]?.guide ? openingOf(guides[0].guide) : usualTipTop;
  const [what] = useBendWhat();
  const [stiffness] = useBendStiffness();
  const [gaps] = useBendGaps();
  const [side] = useBendSide();
  const [material] = useMaterial();
  const [rounding] = useRounding();
  return {
    plan,
    what,
    guides: number('guides') ?? (guides.length || usualBend.guides),
    stiffness,
    modulus: number('modulus'),
    wall: number('wall'),
    stations: pairs('station'),
    weight: number('weight'),
    drops: pairs('drop'),
    ...useLoads(),
    gaps,
    material,
    pullAngle: number('pullAngle') ?? usualBend.pullAngle,
    side,
    clampAt: number('clampAt'),
    reelAt: number('reelAt'),
    reelHeight: number('reelHeight') ?? usualBend.reelHeight,
    tipTop: { height: number('tipTop.height') ?? like.height, ringInner: number('tipTop.ringInner') ?? like.ringInner },
    first: number('first'),
    last: number('last'),
    shares: written?.['bend.shares']?.text ?? '',
    rounding,
  };
}

/** What came of working it out; `stale` where the fields have changed since. */
export type BendAnswer =
  | { kind: 'working' }
  | { kind: 'done'; result: LayoutResult; found: boolean; stale: boolean }
  | { kind: 'refused'; why: string; stale: boolean };

type Worked =
  | { kind: 'working' }
  | { kind: 'done'; asked: string; result: LayoutResult; found: boolean }
  | { kind: 'refused'; asked: string; why: string };

/** Works a bend out beside the page. */
export function useBendWork(input: BendInput): { answer: BendAnswer | undefined; work: () => Promise<void> } {
  const { actions } = useApp();
  const [worked, setWorked] = useState<Worked>();
  const asked = JSON.stringify(input);
  const work = async () => {
    const spec = bendSpec(input, plainGuide);
    if ('why' in spec) return setWorked({ kind: 'refused', asked, why: spec.why });
    setWorked({ kind: 'working' });
    setWorked(
      await actions.layOut(spec satisfies LayoutSpec).then(
        (result): Worked => ({ kind: 'done', asked, result, found: input.what === 'place' }),
        (error: unknown): Worked => ({ kind: 'refused', asked, why: refusal(error) }),
      ),
    );
  };
  const answer = worked && (worked.kind === 'working' ? worked : { ...worked, stale: worked.asked !== asked });
  return { answer, work };
}

/** Why a layout could not be worked out, in a sentence. */
export const refusal = (error: unknown): string =>
  error instanceof Error && error.name === 'InputError' ? error.message : problemWords.unexpected(reason(error));
