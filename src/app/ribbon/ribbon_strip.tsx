import { planStart } from '../../plan/plan.ts';
import { useBuild } from '../session/app_context.tsx';
import { type ItemSign, signsOf } from '../kit/item_sign.ts';
import { SignShape } from '../kit/sign_shape.tsx';
import { useWidth } from '../kit/use_width.ts';
import { shownOnRibbon } from '../session/step_needs.ts';
import type { Step } from '../route/place.ts';
import { RibbonPicture } from './ribbon_picture.tsx';
import { labelRows } from '../kit/label_rows.ts';

const height = 48;
/** where the axis stands in the strip, and how flat the ribbon's drawing is pressed for it */
const axis = 26;
const pressed = 0.38;
const signsAt = 39;

/**
 * The whole rod as a strip a finger high: its picture or its drawing, and a sign wherever something is not in place.
 */
export function RibbonStrip({ step }: { step: Step }) {
  const build = useBuild();
  const shown = shownOnRibbon(build, step);
  const { plan, check } = shown;
  const [width, followWidth] = useWidth<HTMLSpanElement>(260);
  const start = planStart(plan);
  const length = Math.max(plan.blank.length, ...plan.positions.map((position) => position.at - start), 100);
  const x = (mm: number) => 6 + ((mm - start) / length) * Math.max(width - 12, 1);
  const signs = [
    ...(check?.report.items.flatMap((item) => {
      const [sign] = signsOf(item);
      return sign && sign.kind !== 'in-place' ? [{ key: item.id, sign, at: x(item.planned) }] : [];
    }) ?? []),
    ...(check?.report.extras.map(({ along }) => {
      const sign: ItemSign = { kind: 'extra' };
      return { key: `extra ${along.value}`, sign, at: x(along.value) };
    }) ?? []),
  ].toSorted((a, b) => a.at - b.at);
  const rows = labelRows(
    signs.map(({ at }) => ({ x: at, width: 16 })),
    1,
  );
  return (
    <span className="strip-rod" ref={followWidth}>
      <svg width={width} height={height} aria-hidden="true">
        <g transform={`translate(0 ${axis}) scale(1 ${pressed})`}>
          <RibbonPicture shown={shown} x={x} middle={0} />
        </g>
        {signs.map(
          ({ key, sign, at }, i) =>
            rows[i] === 0 && (
              <g key={key} transform={`translate(${at} ${signsAt}) scale(0.75)`}>
                <SignShape sign={sign} length={14} />
              </g>
            ),
        )}
      </svg>
    </span>
  );
}
