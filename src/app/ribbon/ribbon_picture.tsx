import { planStart } from '../../plan/plan.ts';
import type { ShownOnRibbon } from '../session/step_needs.ts';
import { RibbonPhoto } from './ribbon_photo.tsx';
import { RibbonRod } from './ribbon_rod.tsx';
import { stretchesShown } from './ribbon_so_far.ts';

/**
 * The rod: its picture after a check; drawn from the plan before, and while photos come in their picture wherever they
 * show it by then.
 */
export function RibbonPicture({
  shown: { plan, check, soFar },
  x,
  middle,
}: {
  shown: ShownOnRibbon;
  /** mm from the tip to px */
  x: (mm: number) => number;
  /** the axis's height, px */
  middle: number;
}) {
  const start = planStart(plan);
  const whole = check?.evidence.ribbon;
  const part = soFar?.evidence.ribbon;
  if (whole) return <RibbonPhoto ribbon={whole} start={start} x={x} middle={middle} />;
  return (
    <>
      {plan.blank.length > 0 && <RibbonRod plan={plan} start={start} x={x} middle={middle} />}
      {part && <RibbonPhoto ribbon={part} start={start} x={x} middle={middle} only={stretchesShown(soFar.evidence)} />}
    </>
  );
}
