import type { Stage } from '../plan/shoot.ts';
import type { ReportExtra, ReportItem, ReportJoint, ReportTipTop, RodVerdict } from './report.ts';
import { isTipTopSettled, isTipTopWrong } from './tip_top.ts';

type Verdicts = Pick<ReportItem, 'found' | 'alongVerdict' | 'rollVerdict' | 'guideVerdict' | 'setWrongWay'>;

/** Something about this item is known to be wrong. */
export const isWrong = (item: Verdicts): boolean =>
  item.alongVerdict === 'off' ||
  item.alongVerdict === 'missing' ||
  item.rollVerdict === 'off' ||
  item.guideVerdict === 'different' ||
  item.setWrongWay === true;

/** Nothing is known to be wrong with this item, but not everything about it is settled. */
export const isUnsettled = (item: Verdicts): boolean =>
  !isWrong(item) &&
  (!item.found || item.alongVerdict === 'unsure' || item.rollVerdict === 'unsure' || item.guideVerdict === 'unsure');

/**
 * The whole rod: `fix` when anything is known to be wrong, `ready` only when every planned item is found and settled,
 * nothing is extra and the scale was measured, else `reshoot`. A plan without items is never ready. In a rings shoot
 * every item must carry a verdict on its roll and on the guide itself, and a planned tip-top one on its roll. A joint
 * known to be turned is wrong; one that its rings do not tell is no more in doubt than they are.
 */
export function rodVerdict(
  stage: Stage,
  items: readonly Verdicts[],
  extras: readonly ReportExtra[],
  scaleMeasured: boolean,
  { tipTop, joints = [] }: { tipTop?: ReportTipTop | undefined; joints?: readonly ReportJoint[] } = {},
): RodVerdict {
  const turned = joints.some(({ rollVerdict }) => rollVerdict === 'off');
  if (extras.length > 0 || turned || items.some(isWrong) || isTipTopWrong(tipTop)) return 'fix';
  const settled = (item: Verdicts) =>
    !isUnsettled(item) && (stage === 'marks' || (item.rollVerdict === 'on' && item.guideVerdict === 'as-planned'));
  const all = items.length > 0 && items.every(settled) && isTipTopSettled(tipTop);
  return scaleMeasured && all ? 'ready' : 'reshoot';
}
