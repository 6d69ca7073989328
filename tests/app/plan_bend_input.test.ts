import { expect, test } from 'vitest';
import { type BendInput, bendSpec } from '../../src/app/plan/plan_bend_input.ts';
import { newBuild } from '../../src/app/files/new_build.ts';
import { layOut } from '../../src/plan/layouts/layout.ts';
import { plainGuide } from '../../src/plan/layouts/starting_guides.ts';

const empty = newBuild({ id: 'b' }).document.plan;
const input: BendInput = {
  plan: { ...empty, blank: { length: 2100, tipDiameter: 1.8, buttDiameter: 14, finish: 'dark' } },
  what: 'place',
  guides: 6,
  stiffness: 'modulus',
  modulus: 60,
  wall: 0.8,
  stations: [],
  weight: undefined,
  drops: [],
  load: 500,
  light: 250,
  heavy: 800,
  gaps: 'grow',
  material: 'carbon',
  pullAngle: 90,
  side: 'top',
  clampAt: 1700,
  reelAt: 1800,
  reelHeight: 30,
  tipTop: { height: 6, ringInner: 4 },
  first: undefined,
  last: undefined,
  shares: '',
  rounding: 'none',
};
const worked = (asked: BendInput) => {
  const spec = bendSpec(asked, plainGuide);
  if ('why' in spec) throw new Error(spec.why);
  return layOut(spec);
};
const refusal = (change: Partial<BendInput>) => {
  const spec = bendSpec({ ...input, ...change }, plainGuide);
  return 'why' in spec ? spec.why : '';
};

test('a list bent as it stands turns the line as the layout that found its places says', () => {
  const found = worked(input);
  const list = worked({ ...input, what: 'list', plan: { ...input.plan, positions: found.plan.positions } });
  expect(list.plan.positions.map(({ at }) => at)).toEqual(found.plan.positions.map(({ at }) => at));
  for (const [k, turn] of list.bend!.bend.turns.entries()) expect(turn).toBeCloseTo(found.bend!.bend.turns[k]!, 6);
});

test('a listed guide moved toward the next one leaves that one less to turn', () => {
  const found = worked(input);
  const positions = found.plan.positions.map((position, k) =>
    k === 2 ? { ...position, at: found.plan.positions[3]!.at - 30 } : position,
  );
  const moved = worked({ ...input, what: 'list', plan: { ...input.plan, positions } });
  expect(moved.bend!.bend.turns[4]!).toBeLessThan(found.bend!.bend.turns[4]!);
});

test('what is missing is named, and shares are numbers', () => {
  expect(refusal({ modulus: undefined, load: undefined })).toBe(
    'Still needed: “Modulus along the blank (GPa)”, “Pull on the line (grams)”.',
  );
  expect(refusal({ stiffness: 'hang' })).toBe('Still needed: “Weight hung on the tip (grams)”.');
  expect(refusal({ shares: '1 2 x' })).toMatch(/^Write numbers with spaces between/);
  expect(refusal({ what: 'list' })).toMatch(/no guide in the list/);
});
