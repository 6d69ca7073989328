import { expect, test } from 'vitest';
import { addJoint, changeJoint, removeJoint, shootOfPiece } from '../../src/app/edits/piece_edits.ts';
import { newBuild } from '../../src/app/files/new_build.ts';
import { planOfPiece } from '../../src/plan/pieces/pieces.ts';
import type { Joint, Plan } from '../../src/plan/plan.ts';
import type { BuildDocument, KeptCheck } from '../../src/store/build.ts';
import { isCurrent } from '../../src/store/is_current.ts';
import { pieceCount, pieceInHand, planInHand } from '../../src/store/plan_in_hand.ts';
import { checkedParts, isRodReady } from '../../src/store/rod_checks.ts';
import type { Report } from '../../src/verdict/report.ts';

const sleeve: Joint = { kind: 'sleeve', at: 1000, length: 80 };
const guide = { ringOuter: 10, ringInner: 7, height: 9, lean: 0, foot: 'single' } as const;
const plan: Plan = {
  title: 'Two pieces',
  unit: 'mm',
  blank: { length: 2000, tipDiameter: 2, buttDiameter: 14, finish: 'dark' },
  positions: [400, 1400].map((at, k) => ({ id: `G${k + 1}`, kind: 'guide', at, guide })),
  joints: [sleeve],
  tolerance: { along: 1.5, roll: 2 },
};
const started = (): BuildDocument => newBuild({ plan }).document;
const withPiece = (document: BuildDocument, piece: number | undefined): BuildDocument => ({
  ...document,
  shoot: shootOfPiece(document.plan, document.shoot, piece),
});

/** A check of what lies on the mat in a document. */
function checkOf(document: BuildDocument, verdict: Report['verdict'], at: string): KeptCheck {
  const { id: _, photos, ...shoot } = document.shoot;
  const report = {
    schema: 'prewrap.report/1',
    stage: 'rings',
    verdict,
    items: [],
    extras: [],
    notes: [],
  } as never as Report;
  return {
    id: at,
    buildId: 'a',
    at,
    plan: planInHand(document),
    shoot: { ...shoot, photos: photos.map(({ name }) => name) },
    photoIds: Object.fromEntries(photos.map(({ id, name }) => [name, id])),
    report,
    evidence: { photos: [], rings: [], closeUps: [] },
  };
}

test('joints are added from tip to butt, changed and taken out; texts of one do not pass to another', () => {
  const typed = {
    ...started(),
    written: { 'plan.joint.0.at': { text: '1 m', value: 1000 }, 'marks.from': { text: 'tip' } },
  };
  const added = addJoint({ kind: 'spigot', at: 500, length: 60, gap: 5 })(typed);
  expect(added.plan.joints!.map(({ at }) => at)).toEqual([500, 1000]);
  expect(added.written).toEqual({ 'marks.from': { text: 'tip' } });
  expect(changeJoint(1, (joint) => ({ ...joint, at: 1200 }))(added).plan.joints![1]).toEqual({ ...sleeve, at: 1200 });
  expect(removeJoint(0)(removeJoint(0)(added)).plan).not.toHaveProperty('joints');
});

test('the piece in hand is the plan’s own, and the whole rod where the joints are not in order', () => {
  const second = withPiece(started(), 2);
  expect(planInHand(second)).toEqual(planOfPiece(plan, 2));
  const broken = changeJoint(0, (joint) => ({ ...joint, at: 1990 }))(second);
  expect([pieceCount(broken.plan), pieceInHand(broken)]).toEqual([1, undefined]);
  expect(planInHand(broken)).toBe(broken.plan);
  // the seat's card lies on the last piece alone
  expect(withPiece(started(), 1).shoot.rollReference).toBe('guides');
  expect(second.shoot.rollReference).toBe('seat-card');
  expect(withPiece(second, undefined).shoot).not.toHaveProperty('piece');
});

test('each piece keeps its own check; the rod is ready once every piece is, and no other way once it was put together', () => {
  const [first, second] = [withPiece(started(), 1), withPiece(started(), 2)];
  const one = checkOf(first, 'ready', '2026-01-01');
  const two = checkOf(second, 'ready', '2026-01-02');
  expect(isCurrent(one, first)).toBe(true);
  expect(isCurrent(one, second)).toBe(false);
  const parts = (document: BuildDocument, checks: KeptCheck[]) => checkedParts(document, checks);
  expect(parts(second, [one]).map(({ piece, standing }) => [piece, standing])).toEqual([
    [1, true],
    [2, false],
    [undefined, false],
  ]);
  expect(isRodReady(parts(second, [one]))).toBe(false);
  expect(isRodReady(parts(second, [two, one]))).toBe(true);
  const together = checkOf(withPiece(started(), undefined), 'fix', '2026-01-03');
  expect(isRodReady(parts(second, [together, two, one]))).toBe(false);
  // a place moved on one piece leaves the other's check standing
  const moved = { ...second, plan: { ...plan, positions: [plan.positions[0]!, { ...plan.positions[1]!, at: 1410 }] } };
  expect(parts(moved, [two, one]).map(({ standing }) => standing)).toEqual([true, false, false]);
  expect(checkedParts({ ...second, plan: { ...plan, joints: [] } }, [one])).toEqual([]);
});
