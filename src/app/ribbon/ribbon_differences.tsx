import type { KeptCheck } from '../../store/build.ts';
import { type ItemSign, signsOf } from '../kit/item_sign.ts';
import { labelRows } from '../kit/label_rows.ts';
import { SignShape } from '../kit/sign_shape.tsx';

/** px a millimetre of difference gets at least, so that a tolerance of 1.5 mm can be seen. */
const leastDifference = 6;
const longestArrow = 44;
const laneHeight = 19;
/** half of a sign's own width, px */
const signRoom = 8;

/** Below the rod: what was found at each planned place, with differences drawn larger than they are. */
export function RibbonDifferences({
  check,
  x,
  top,
  pixelsPerMm,
}: {
  check: KeptCheck;
  x: (mm: number) => number;
  top: number;
  pixelsPerMm: number;
}) {
  const perMm = Math.max(pixelsPerMm, leastDifference);
  const signs = [
    ...check.report.items.flatMap((item) => {
      const [sign] = signsOf(item);
      if (!sign) return [];
      const offset = item.along && sign.kind === 'slide' ? (item.along.value - item.planned) * perMm : 0;
      const drawn = Math.min(Math.max(offset, -longestArrow), longestArrow);
      return [{ key: item.id, sign, at: x(item.planned) + drawn, drawn }];
    }),
    ...check.report.extras.map(({ along }) => {
      const sign: ItemSign = { kind: 'extra' };
      return { key: `extra ${along.value}`, sign, at: x(along.value), drawn: 0 };
    }),
  ].toSorted((a, b) => a.at - a.drawn / 2 - (b.at - b.drawn / 2));
  const lanes = labelRows(
    signs.map(({ at, drawn }) => ({ x: at - drawn / 2, width: Math.abs(drawn) + 2 * signRoom })),
    2,
  );
  return (
    <g>
      {signs.map(({ key, sign, at, drawn }, i) => (
        <g key={key} transform={`translate(${at} ${top + (lanes[i] === 0 ? 0 : laneHeight)})`}>
          <SignShape sign={sign} length={Math.abs(drawn)} />
        </g>
      ))}
    </g>
  );
}
